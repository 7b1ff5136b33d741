//! A supplier: what may be said of one, adding and changing one.

use diesel::prelude::*;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::store;
use crate::access::{Act, Member, email_parse};
use crate::database::Tx;
use crate::error::{Refused, Result, invalid};
use crate::ids::SupplierId;
use crate::schema::suppliers;
use crate::text::{name_parse, note_parse};
use crate::wire::IfMatch;

/// Longest telephone number kept, characters: E.164 allows 15 digits; people add spaces and an extension.
const LONGEST_PHONE: usize = 40;

/// What is said of a supplier, new or changed.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
pub struct CreateSupplier {
    /// Unique in the network.
    pub name: String,
    /// Where papers go; null or empty if unknown.
    pub email: Option<String>,
    /// As dialled; null or empty if unknown.
    pub phone: Option<String>,
    /// Free text.
    #[serde(default)]
    pub note: String,
}

/// Who sells materials or hires out machines.
#[derive(Debug, Clone, Queryable, Selectable, Serialize, ToSchema)]
#[diesel(table_name = suppliers, check_for_backend(diesel::pg::Pg))]
pub struct Supplier {
    /// The supplier.
    #[diesel(select_expression = suppliers::id)]
    pub supplier_id: SupplierId,
    /// Unique in the network.
    pub name: String,
    /// Where papers go; null if unknown.
    pub email: Option<String>,
    /// As dialled; null if unknown.
    pub phone: Option<String>,
    /// Free text.
    pub note: String,
    /// Counts changes; the ETag.
    pub version: i32,
}

/// A supplier as it will be kept.
#[derive(Debug, Insertable, AsChangeset)]
#[diesel(table_name = suppliers, treat_none_as_null = true)]
pub(super) struct SupplierFacts {
    name: String,
    email: Option<String>,
    phone: Option<String>,
    note: String,
}

impl SupplierFacts {
    fn parse(said: &CreateSupplier) -> Result<Self, Refused> {
        Ok(Self {
            name: name_parse("name", &said.name)?,
            email: filled(said.email.as_deref()).map(email_parse).transpose()?,
            phone: filled(said.phone.as_deref()).map(phone_parse).transpose()?,
            note: note_parse("note", &said.note)?,
        })
    }
}

/// What was typed, if anything was.
fn filled(text: Option<&str>) -> Option<&str> {
    text.map(str::trim).filter(|text| !text.is_empty())
}

fn phone_parse(text: &str) -> Result<String, Refused> {
    if text.chars().count() > LONGEST_PHONE || text.chars().any(char::is_control) {
        return Err(invalid("phone", "Use at most 40 characters on one line."));
    }
    Ok(text.to_owned())
}

/// Adds a supplier.
///
/// # Errors
/// `not_your_role`, `invalid`, `name_taken`.
pub async fn add_supplier(tx: &mut Tx, member: &Member, said: &CreateSupplier) -> Result<Supplier> {
    member.require(Act::EditSuppliers, None)?;
    let facts = SupplierFacts::parse(said)?;
    let id = store::insert_supplier(tx, member.network_id, &facts).await?;
    store::supplier(tx, member.network_id, id).await
}

/// Changes a supplier that is still at the version seen.
///
/// # Errors
/// `not_found`, `not_your_role`, `invalid`, `name_taken`, `changed_meanwhile`.
pub async fn alter_supplier(
    tx: &mut Tx,
    member: &Member,
    id: SupplierId,
    seen: IfMatch,
    said: &CreateSupplier,
) -> Result<Supplier> {
    member.require(Act::EditSuppliers, None)?;
    store::supplier(tx, member.network_id, id).await?;
    let facts = SupplierFacts::parse(said)?;
    if !store::update_supplier(tx, member.network_id, id, seen.0, &facts).await? {
        return Err(seen.stale().into());
    }
    store::supplier(tx, member.network_id, id).await
}
