//! A product: what may be said of one, adding and changing one.

use std::ops::RangeInclusive;

use diesel::prelude::*;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::store;
use super::words::{ProductKind, SoldBy};
use crate::access::{Act, Member};
use crate::database::Tx;
use crate::error::{Refused, Result, invalid};
use crate::ids::ProductId;
use crate::schema::products;
use crate::text::{name_parse, note_parse};
use crate::wire::IfMatch;

/// Mass of one tonne, kg.
const TONNE_KG: i64 = 1000;
/// Mass of one bag, kg: from a hand-held box to a bulk bag that a loader lifts.
const BAG_KG: RangeInclusive<i64> = 1..=1000;
/// VAT rate, 1/100 of a per cent.
const VAT_BASIS_POINTS: RangeInclusive<i32> = 0..=10_000;

/// What is said of a product, new or changed.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
pub struct CreateProduct {
    /// Generic name, unique in the network.
    pub name: String,
    /// What kind of thing it is.
    pub kind: ProductKind,
    /// What a price is for.
    pub sold_by: SoldBy,
    /// Mass of one bag, kg; only and always where sold by the bag.
    pub bag_kg: Option<i64>,
    /// VAT rate, 1/100 of a per cent.
    pub vat_basis_points: i32,
    /// Free text, such as where the VAT rate comes from.
    #[serde(default)]
    pub note: String,
}

/// What can be ordered.
#[derive(Debug, Clone, Queryable, Selectable, Serialize, ToSchema)]
#[diesel(table_name = products, check_for_backend(diesel::pg::Pg))]
pub struct Product {
    /// The product.
    #[diesel(select_expression = products::id)]
    pub product_id: ProductId,
    /// Generic name, unique in the network.
    pub name: String,
    /// What kind of thing it is.
    pub kind: ProductKind,
    /// What a price is for.
    pub sold_by: SoldBy,
    /// Mass of one tonne or one bag, kg.
    pub unit_kg: i64,
    /// VAT rate, 1/100 of a per cent.
    pub vat_basis_points: i32,
    /// Free text.
    pub note: String,
    /// Counts changes; the ETag.
    pub version: i32,
}

/// A product as it will be kept.
#[derive(Debug, Insertable, AsChangeset)]
#[diesel(table_name = products)]
pub(super) struct ProductFacts {
    name: String,
    kind: ProductKind,
    sold_by: SoldBy,
    unit_kg: i64,
    vat_basis_points: i32,
    note: String,
}

impl ProductFacts {
    fn parse(said: &CreateProduct) -> Result<Self, Refused> {
        if !VAT_BASIS_POINTS.contains(&said.vat_basis_points) {
            return Err(invalid("vat_basis_points", "VAT is 0 to 100 per cent: 0 to 10,000 basis points."));
        }
        Ok(Self {
            name: name_parse("name", &said.name)?,
            kind: said.kind,
            sold_by: said.sold_by,
            unit_kg: unit_kg(said.sold_by, said.bag_kg)?,
            vat_basis_points: said.vat_basis_points,
            note: note_parse("note", &said.note)?,
        })
    }
}

fn unit_kg(sold_by: SoldBy, bag_kg: Option<i64>) -> Result<i64, Refused> {
    match (sold_by, bag_kg) {
        (SoldBy::Tonne, None) => Ok(TONNE_KG),
        (SoldBy::Tonne, Some(_)) => Err(invalid("bag_kg", "What is sold by the tonne has no bag; leave it out.")),
        (SoldBy::Bag, Some(bag_kg)) if BAG_KG.contains(&bag_kg) => Ok(bag_kg),
        (SoldBy::Bag, _) => Err(invalid("bag_kg", "Say what a bag weighs: 1 to 1,000 whole kg.")),
    }
}

/// Adds a product.
///
/// # Errors
/// `not_your_role`, `invalid`, `name_taken`.
pub async fn add_product(tx: &mut Tx, member: &Member, said: &CreateProduct) -> Result<Product> {
    member.require(Act::EditSuppliers, None)?;
    let facts = ProductFacts::parse(said)?;
    let id = store::insert_product(tx, member.network_id, &facts).await?;
    store::product(tx, member.network_id, id).await
}

/// Changes a product that is still at the version seen. Orders keep the unit and rate they were opened with.
///
/// # Errors
/// `not_found`, `not_your_role`, `invalid`, `name_taken`, `changed_meanwhile`.
pub async fn alter_product(
    tx: &mut Tx,
    member: &Member,
    id: ProductId,
    seen: IfMatch,
    said: &CreateProduct,
) -> Result<Product> {
    member.require(Act::EditSuppliers, None)?;
    store::product(tx, member.network_id, id).await?;
    let facts = ProductFacts::parse(said)?;
    if !store::update_product(tx, member.network_id, id, seen.0, &facts).await? {
        return Err(seen.stale().into());
    }
    store::product(tx, member.network_id, id).await
}
