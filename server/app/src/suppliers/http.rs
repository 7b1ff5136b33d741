//! Listing, adding, showing and changing suppliers and products.

use actix_web::web::{Data, Json, Path, Query};
use actix_web::{HttpResponse, get, post, put};

use super::product::{CreateProduct, Product, add_product, alter_product};
use super::store;
use super::supplier::{CreateSupplier, Supplier, add_supplier, alter_supplier};
use crate::access::{Act, Caller, enter};
use crate::error::Result;
use crate::ids::{NetworkId, ProductId, SupplierId};
use crate::service::Service;
use crate::wire::{Claim, IfMatch, OnceKey, Page, PageQuery, tagged};

/// List suppliers
#[utoipa::path(tag = "suppliers", params(PageQuery), responses((status = 200, body = Page<Supplier>)))]
#[get("/networks/{network_id}/suppliers")]
pub async fn list_suppliers(
    service: Data<Service>,
    caller: Caller,
    network: Path<NetworkId>,
    page: Query<PageQuery>,
) -> Result<Json<Page<Supplier>>> {
    let (mut tx, member) = enter(&service, &caller, *network).await?;
    member.require(Act::SeeNetwork, None)?;
    let rows = store::list_suppliers(&mut tx, *network, &page).await?;
    Ok(Json(Page::cut(rows, &page, |supplier| supplier.name.clone(), |supplier| supplier)))
}

/// Add a supplier
#[utoipa::path(tag = "suppliers", params(OnceKey), responses((status = 201, body = Supplier)))]
#[post("/networks/{network_id}/suppliers")]
pub async fn create_supplier(
    service: Data<Service>,
    caller: Caller,
    network: Path<NetworkId>,
    key: OnceKey,
    body: Json<CreateSupplier>,
) -> Result<HttpResponse> {
    let (mut tx, member) = enter(&service, &caller, *network).await?;
    let ticket = match key.claim(&mut tx, &member, &*body).await? {
        Claim::Answered(response) => return Ok(response),
        Claim::New(ticket) => ticket,
    };
    let supplier = add_supplier(&mut tx, &member, &body).await?;
    let response = ticket.created(&mut tx, &member, &supplier).await?;
    tx.commit().await?;
    Ok(response)
}

/// Show a supplier
#[utoipa::path(tag = "suppliers", responses((status = 200, body = Supplier)))]
#[get("/networks/{network_id}/suppliers/{supplier_id}")]
pub async fn show_supplier(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, SupplierId)>,
) -> Result<HttpResponse> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    member.require(Act::SeeNetwork, None)?;
    let supplier = store::supplier(&mut tx, network, id).await?;
    Ok(tagged(supplier.version, &supplier))
}

/// Change a supplier
#[utoipa::path(tag = "suppliers", params(IfMatch), responses((status = 200, body = Supplier)))]
#[put("/networks/{network_id}/suppliers/{supplier_id}")]
pub async fn change_supplier(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, SupplierId)>,
    seen: IfMatch,
    body: Json<CreateSupplier>,
) -> Result<HttpResponse> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let supplier = alter_supplier(&mut tx, &member, id, seen, &body).await?;
    tx.commit().await?;
    Ok(tagged(supplier.version, &supplier))
}

/// List products
#[utoipa::path(tag = "suppliers", params(PageQuery), responses((status = 200, body = Page<Product>)))]
#[get("/networks/{network_id}/products")]
pub async fn list_products(
    service: Data<Service>,
    caller: Caller,
    network: Path<NetworkId>,
    page: Query<PageQuery>,
) -> Result<Json<Page<Product>>> {
    let (mut tx, member) = enter(&service, &caller, *network).await?;
    member.require(Act::SeeNetwork, None)?;
    let rows = store::list_products(&mut tx, *network, &page).await?;
    Ok(Json(Page::cut(rows, &page, |product| product.name.clone(), |product| product)))
}

/// Add a product
#[utoipa::path(tag = "suppliers", params(OnceKey), responses((status = 201, body = Product)))]
#[post("/networks/{network_id}/products")]
pub async fn create_product(
    service: Data<Service>,
    caller: Caller,
    network: Path<NetworkId>,
    key: OnceKey,
    body: Json<CreateProduct>,
) -> Result<HttpResponse> {
    let (mut tx, member) = enter(&service, &caller, *network).await?;
    let ticket = match key.claim(&mut tx, &member, &*body).await? {
        Claim::Answered(response) => return Ok(response),
        Claim::New(ticket) => ticket,
    };
    let product = add_product(&mut tx, &member, &body).await?;
    let response = ticket.created(&mut tx, &member, &product).await?;
    tx.commit().await?;
    Ok(response)
}

/// Show a product
#[utoipa::path(tag = "suppliers", responses((status = 200, body = Product)))]
#[get("/networks/{network_id}/products/{product_id}")]
pub async fn show_product(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, ProductId)>,
) -> Result<HttpResponse> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    member.require(Act::SeeNetwork, None)?;
    let product = store::product(&mut tx, network, id).await?;
    Ok(tagged(product.version, &product))
}

/// Change a product
#[utoipa::path(tag = "suppliers", params(IfMatch), responses((status = 200, body = Product)))]
#[put("/networks/{network_id}/products/{product_id}")]
pub async fn change_product(
    service: Data<Service>,
    caller: Caller,
    path: Path<(NetworkId, ProductId)>,
    seen: IfMatch,
    body: Json<CreateProduct>,
) -> Result<HttpResponse> {
    let (network, id) = path.into_inner();
    let (mut tx, member) = enter(&service, &caller, network).await?;
    let product = alter_product(&mut tx, &member, id, seen, &body).await?;
    tx.commit().await?;
    Ok(tagged(product.version, &product))
}
