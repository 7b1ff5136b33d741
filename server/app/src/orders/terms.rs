//! The terms of a pooled order: what the coordinator agrees with the supplier and the clubs join.

use chrono::{DateTime, NaiveDate, TimeDelta, Utc};
use chrono_tz::Tz;
use diesel::prelude::*;
use logistics::price_breaks::{PriceError, PriceList};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::view::PriceBreak;
use crate::error::{Refused, invalid};
use crate::ids::{ProductId, SupplierId};
use crate::schema::pooled_orders;
use crate::text::{name_parse, note_parse};
use crate::time::today;

// Bounds on typing errors, wide enough for any network (common practice, no source).
const LARGEST_PACK_KG: i64 = 100_000;
const LARGEST_TOTAL_KG: i64 = 1_000_000_000;
const HIGHEST_PRICE_PENCE: i64 = 10_000_000;
const MOST_BREAKS: usize = 20;
const LONGEST_GATHERING: TimeDelta = TimeDelta::days(731);
const LONGEST_WAIT_FOR_DELIVERY: TimeDelta = TimeDelta::days(366);

/// What is said of a pooled order, new or changed.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
pub struct CreateOrder {
    /// As members see it.
    pub title: String,
    /// What is bought. A price is for one unit of it: a tonne or a bag.
    pub product_id: ProductId,
    /// From whom.
    pub supplier_id: SupplierId,
    /// Quantities are whole multiples of this, kg.
    pub pack_kg: i64,
    /// VAT rate, 1/100 of a per cent.
    pub vat_basis_points: i32,
    /// Below this total, kg, the order is called off at closing; 0 for none.
    pub smallest_kg: i64,
    /// Rising quantities, prices that do not rise; the first from 0 kg or from one pack.
    pub price_breaks: Vec<PriceBreak>,
    /// Lines can be changed until then; then it closes by itself.
    pub closes_at: DateTime<Utc>,
    /// First day of the delivery window.
    pub delivery_from_on: NaiveDate,
    /// Last day of the delivery window.
    pub delivery_until_on: NaiveDate,
    /// Free text for the clubs.
    #[serde(default)]
    pub note: String,
}

/// Terms that hold together.
pub(super) struct Terms {
    columns: TermsColumns,
    price_breaks: Vec<PriceBreak>,
}

/// The terms as an order keeps them; its price breaks have a table of their own.
#[derive(Insertable, AsChangeset)]
#[diesel(table_name = pooled_orders)]
pub(super) struct TermsColumns {
    title: String,
    product_id: ProductId,
    supplier_id: SupplierId,
    unit_kg: i64,
    pack_kg: i64,
    vat_basis_points: i32,
    smallest_kg: i64,
    closes_at: DateTime<Utc>,
    delivery_from_on: NaiveDate,
    delivery_until_on: NaiveDate,
    note: String,
}

impl Terms {
    /// Checks terms for a product sold in units of `unit_kg`, in a network's time zone.
    ///
    /// # Errors
    /// `invalid` on the field that will not do.
    pub(super) fn parse(said: &CreateOrder, unit_kg: i64, zone: Tz, now: DateTime<Utc>) -> Result<Self, Refused> {
        let title = name_parse("title", &said.title)?;
        let note = note_parse("note", &said.note)?;
        check_numbers(said)?;
        check_prices(said, unit_kg)?;
        check_dates(said, zone, now)?;
        Ok(Self {
            columns: TermsColumns {
                title,
                product_id: said.product_id,
                supplier_id: said.supplier_id,
                unit_kg,
                pack_kg: said.pack_kg,
                vat_basis_points: said.vat_basis_points,
                smallest_kg: said.smallest_kg,
                closes_at: said.closes_at,
                delivery_from_on: said.delivery_from_on,
                delivery_until_on: said.delivery_until_on,
                note,
            },
            price_breaks: said.price_breaks.clone(),
        })
    }

    pub(super) fn columns(&self) -> &TermsColumns {
        &self.columns
    }

    pub(super) fn price_breaks(&self) -> &[PriceBreak] {
        &self.price_breaks
    }

    pub(super) fn product_id(&self) -> ProductId {
        self.columns.product_id
    }

    pub(super) fn pack_kg(&self) -> i64 {
        self.columns.pack_kg
    }

    pub(super) fn closes_at(&self) -> DateTime<Utc> {
        self.columns.closes_at
    }
}

fn check_numbers(said: &CreateOrder) -> Result<(), Refused> {
    if !(1..=LARGEST_PACK_KG).contains(&said.pack_kg) {
        return Err(invalid("pack_kg", "A pack is 1 kg to 100 t."));
    }
    if !(0..=10_000).contains(&said.vat_basis_points) {
        return Err(invalid("vat_basis_points", "VAT is 0 to 100 per cent."));
    }
    if !(0..=LARGEST_TOTAL_KG).contains(&said.smallest_kg) {
        return Err(invalid("smallest_kg", "The smallest total is nothing or more, and one that clubs can reach."));
    }
    Ok(())
}

fn check_prices(said: &CreateOrder, unit_kg: i64) -> Result<(), Refused> {
    if said.price_breaks.len() > MOST_BREAKS {
        return Err(invalid("price_breaks", "Give at most 20 prices."));
    }
    let absurd = |each: &PriceBreak| each.price_pence > HIGHEST_PRICE_PENCE || each.from_kg > LARGEST_TOTAL_KG;
    if said.price_breaks.iter().any(absurd) {
        return Err(invalid("price_breaks", "A price is at most £100,000, a quantity one that clubs can reach."));
    }
    let breaks = said.price_breaks.iter().map(|&each| each.into()).collect();
    PriceList::parse(unit_kg, said.pack_kg, breaks).map_err(price_refusal)?;
    Ok(())
}

fn price_refusal(error: PriceError) -> Refused {
    let prices = |detail: &str| invalid("price_breaks", detail);
    match error {
        PriceError::MassNotPositive => invalid("pack_kg", "A pack has a mass."),
        PriceError::VatRateOutOfRange => invalid("vat_basis_points", "VAT is 0 to 100 per cent."),
        PriceError::NoBreaks => prices("Give at least one price."),
        PriceError::FirstBreakTooHigh => {
            prices("The first price must hold from 0 or from one pack, so that every total has a price.")
        }
        PriceError::QuantitiesNotRising => prices("Each quantity must be larger than the one before, none twice."),
        PriceError::PriceRises => prices("The price must not rise with the quantity."),
        PriceError::PriceNotPositive => prices("Each price must be more than nothing."),
        PriceError::PackNotWholePence => prices("The price of one pack must come to whole pence."),
        PriceError::QuantityNegative
        | PriceError::NotWholePacks
        | PriceError::OwnAboveTotal
        | PriceError::GoodsNegative
        | PriceError::TooLarge
        | PriceError::Share(_) => prices("These prices cannot be reckoned with."),
    }
}

fn check_dates(said: &CreateOrder, zone: Tz, now: DateTime<Utc>) -> Result<(), Refused> {
    if said.closes_at <= now {
        return Err(invalid("closes_at", "The closing must lie ahead."));
    }
    if said.closes_at > now + LONGEST_GATHERING {
        return Err(invalid("closes_at", "The closing must lie within two years."));
    }
    let closes_on = today(zone, said.closes_at);
    if said.delivery_from_on < closes_on {
        return Err(invalid("delivery_from_on", "Nothing is delivered before the order has closed."));
    }
    if said.delivery_until_on < said.delivery_from_on {
        return Err(invalid("delivery_until_on", "The last day must not come before the first."));
    }
    if said.delivery_until_on > closes_on + LONGEST_WAIT_FOR_DELIVERY {
        return Err(invalid("delivery_until_on", "Delivery must end within a year of the closing."));
    }
    Ok(())
}
