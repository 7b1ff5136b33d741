//! What can be measured, and its words on the wire.

use actix_web::get;
use actix_web::web::{Data, Json, Path};
use comparison::criteria::{Criterion as Measured, CriterionError};
use comparison::scheme::default_basis;
use serde::{Deserialize, Serialize};
use utoipa::openapi::schema::{ObjectBuilder, Type};
use utoipa::openapi::{RefOr, Schema};
use utoipa::{PartialSchema, ToSchema};

use crate::access::{Act, Caller, enter};
use crate::error::Result;
use crate::ids::NetworkId;
use crate::service::Service;
use crate::wire::Page;

/// The word for a criterion: a thin cover, so that the list of criteria stands in the `comparison` crate alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "String", into = "&'static str")]
pub struct CriterionKey(pub Measured);

impl TryFrom<String> for CriterionKey {
    type Error = CriterionError;

    fn try_from(key: String) -> Result<Self, CriterionError> {
        Measured::parse(&key).map(Self)
    }
}

impl From<CriterionKey> for &'static str {
    fn from(key: CriterionKey) -> Self {
        key.0.key()
    }
}

impl PartialSchema for CriterionKey {
    fn schema() -> RefOr<Schema> {
        let keys = Measured::ALL.map(Measured::key);
        let word = ObjectBuilder::new().schema_type(Type::String).enum_values(Some(keys));
        word.description(Some("What is measured.")).into()
    }
}

impl ToSchema for CriterionKey {}

/// What is known of a criterion, whatever the pitch.
#[derive(Serialize, ToSchema)]
pub struct Criterion {
    criterion: CriterionKey,
    name: &'static str,
    /// The unit of a reading.
    unit: &'static str,
    /// The published test method by number, or that there is none.
    method: &'static str,
    /// How to take a reading with simple tools.
    how: &'static str,
    /// Whether a walk is complete without it, since it needs a tool few clubs have.
    optional: bool,
    /// A reading below is refused.
    lowest: f64,
    /// A reading above is refused.
    highest: f64,
    /// A reading below deserves a second look.
    plausible_low: f64,
    /// A reading above deserves a second look.
    plausible_high: f64,
    /// How many readings a walk should take.
    recommended_readings: u32,
    /// Where that number comes from.
    recommended_by: &'static str,
    /// What the scale of the scheme that networks start with leans on; bands recalled from memory say so.
    first_scale_basis: &'static str,
}

impl From<Measured> for Criterion {
    fn from(criterion: Measured) -> Self {
        let facts = criterion.facts();
        Self {
            criterion: CriterionKey(criterion),
            name: facts.name,
            unit: facts.unit,
            method: facts.method,
            how: facts.how,
            optional: facts.optional,
            lowest: *facts.possible.start(),
            highest: *facts.possible.end(),
            plausible_low: *facts.plausible.start(),
            plausible_high: *facts.plausible.end(),
            recommended_readings: facts.recommended_readings,
            recommended_by: facts.recommended_by,
            first_scale_basis: default_basis(criterion),
        }
    }
}

/// List what can be measured
#[utoipa::path(tag = "walks", responses((status = 200, body = Page<Criterion>)))]
#[get("/networks/{network_id}/criteria")]
pub async fn list_criteria(
    service: Data<Service>,
    caller: Caller,
    network: Path<NetworkId>,
) -> Result<Json<Page<Criterion>>> {
    let (_, member) = enter(&service, &caller, *network).await?;
    member.require(Act::SeeNetwork, None)?;
    Ok(Json(Page::whole(Measured::ALL.into_iter().map(Criterion::from).collect())))
}
