//! Queries on suppliers and products. All in the scope of their network.

use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl};

use super::product::{Product, ProductFacts};
use super::supplier::{Supplier, SupplierFacts};
use crate::error::Result;
use crate::ids::{NetworkId, ProductId, SupplierId};
use crate::schema::{products, suppliers};
use crate::wire::PageQuery;

/// One supplier.
pub(super) async fn supplier(tx: &mut AsyncPgConnection, network: NetworkId, id: SupplierId) -> Result<Supplier> {
    Ok(suppliers::table.find((network, id)).select(Supplier::as_select()).first(tx).await?)
}

/// Suppliers by name.
pub(super) async fn list_suppliers(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    page: &PageQuery,
) -> Result<Vec<Supplier>> {
    let mut query = suppliers::table
        .filter(suppliers::network_id.eq(network))
        .select(Supplier::as_select())
        .order(suppliers::name)
        .limit(page.rows())
        .into_boxed();
    if let Some(after) = page.after::<String>()? {
        query = query.filter(suppliers::name.gt(after));
    }
    Ok(query.load(tx).await?)
}

/// Keeps a new supplier.
pub(super) async fn insert_supplier(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    facts: &SupplierFacts,
) -> Result<SupplierId> {
    let id = SupplierId::new();
    diesel::insert_into(suppliers::table)
        .values((suppliers::network_id.eq(network), suppliers::id.eq(id), facts))
        .execute(tx)
        .await?;
    Ok(id)
}

/// Changes a supplier; false when it is no longer at that version.
pub(super) async fn update_supplier(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: SupplierId,
    version: i32,
    facts: &SupplierFacts,
) -> Result<bool> {
    let changed = diesel::update(suppliers::table.find((network, id)).filter(suppliers::version.eq(version)))
        .set((facts, suppliers::version.eq(version + 1)))
        .execute(tx)
        .await?;
    Ok(changed == 1)
}

/// One product.
pub(super) async fn product(tx: &mut AsyncPgConnection, network: NetworkId, id: ProductId) -> Result<Product> {
    Ok(products::table.find((network, id)).select(Product::as_select()).first(tx).await?)
}

/// Products by name.
pub(super) async fn list_products(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    page: &PageQuery,
) -> Result<Vec<Product>> {
    let mut query = products::table
        .filter(products::network_id.eq(network))
        .select(Product::as_select())
        .order(products::name)
        .limit(page.rows())
        .into_boxed();
    if let Some(after) = page.after::<String>()? {
        query = query.filter(products::name.gt(after));
    }
    Ok(query.load(tx).await?)
}

/// Keeps a new product.
pub(super) async fn insert_product(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    facts: &ProductFacts,
) -> Result<ProductId> {
    let id = ProductId::new();
    diesel::insert_into(products::table)
        .values((products::network_id.eq(network), products::id.eq(id), facts))
        .execute(tx)
        .await?;
    Ok(id)
}

/// Changes a product; false when it is no longer at that version.
pub(super) async fn update_product(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: ProductId,
    version: i32,
    facts: &ProductFacts,
) -> Result<bool> {
    let changed = diesel::update(products::table.find((network, id)).filter(products::version.eq(version)))
        .set((facts, products::version.eq(version + 1)))
        .execute(tx)
        .await?;
    Ok(changed == 1)
}
