//! A pooled order as members see it.
//!
//! Everybody in the network sees who wants how much and what the order comes to: that is how pooling works. What one
//! club owes is shown to that club's lead and treasurer and to the coordinator.

use std::collections::HashMap;

use chrono::{DateTime, NaiveDate, Utc};
use diesel::prelude::*;
use logistics::price_breaks::{self, Share};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::reckoning::{Part, reckon};
use super::store::{Line, WholeOrder};
use super::words::OrderState;
use crate::access::{Act, Member};
use crate::error::Result;
use crate::ids::{ClubId, OrderId, ProductId, SupplierId};
use crate::schema::{products, suppliers};
use crate::suppliers::{ProductKind, SoldBy};

/// How shares come about, said to members beside the figures.
const SPLIT_RULE: &str = "Every club pays the price of the total for its own quantity. VAT is reckoned on the whole \
     invoice, rounded down to the penny, and split by quantity: each club first bears the whole pence of its exact \
     part, and the pence left over go one each to the largest remainders (Hare quota); of equal remainders the club \
     that joined the network first, whose id sorts first, bears the penny. The price alone is the club's own quantity \
     at the price it would have by itself, with VAT rounded up.";

/// A pooled order, reckoned: while it gathers "if it closed now", afterwards as entered at closing.
#[derive(Debug, Serialize, ToSchema)]
pub struct PooledOrder {
    /// The order.
    pub order_id: OrderId,
    /// As members see it.
    pub title: String,
    /// What is bought.
    pub product: OrderProduct,
    /// From whom.
    pub supplier: OrderSupplier,
    /// What a price is for, kg: one tonne or one bag.
    pub unit_kg: i64,
    /// Quantities are whole multiples of this.
    pub pack_kg: i64,
    /// VAT rate, 1/100 of a per cent.
    pub vat_basis_points: i32,
    /// Below this total the order is called off at closing.
    pub smallest_kg: i64,
    /// By quantity.
    pub price_breaks: Vec<PriceBreak>,
    /// Lines can be changed until then; then it closes by itself.
    pub closes_at: DateTime<Utc>,
    /// First day of the delivery window.
    pub delivery_from_on: NaiveDate,
    /// Last day of the delivery window.
    pub delivery_until_on: NaiveDate,
    /// Free text.
    pub note: String,
    /// Where it stands.
    pub state: OrderState,
    /// Why it was called off; else null.
    pub called_off_reason: Option<String>,
    /// All lines.
    pub total_kg: i64,
    /// How many clubs have a line.
    pub club_count: usize,
    /// Per unit, excluding VAT, at this total; null when called off.
    pub price_pence: Option<i64>,
    /// The next fall of the price while the order gathers; null if it falls no further.
    pub next_break: Option<NextBreak>,
    /// All goods, excluding VAT; nothing when called off.
    pub goods_pence: i64,
    /// VAT on them.
    pub vat_pence: i64,
    /// By club name.
    pub lines: Vec<OrderLine>,
    /// How goods and VAT are split, and who bears the odd penny.
    pub split_rule: &'static str,
    /// Counts changes of terms and state; the ETag.
    pub version: i32,
}

/// What an order buys.
#[derive(Debug, Queryable, Selectable, Serialize, ToSchema)]
#[diesel(table_name = products, check_for_backend(diesel::pg::Pg))]
pub struct OrderProduct {
    /// The product.
    #[diesel(select_expression = products::id)]
    pub product_id: ProductId,
    /// Its name.
    pub name: String,
    /// What kind of thing it is.
    pub kind: ProductKind,
    /// What a price is for.
    pub sold_by: SoldBy,
}

/// Where an order goes.
#[derive(Debug, Queryable, Selectable, Serialize, ToSchema)]
#[diesel(table_name = suppliers, check_for_backend(diesel::pg::Pg))]
pub struct OrderSupplier {
    /// The supplier.
    #[diesel(select_expression = suppliers::id)]
    pub supplier_id: SupplierId,
    /// Its name.
    pub name: String,
}

/// From this total on, every unit costs this much.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct PriceBreak {
    /// Total of all lines, kg.
    pub from_kg: i64,
    /// Per unit, excluding VAT.
    pub price_pence: i64,
}

/// How far the order is from a lower price, and what that would save on the quantities as they stand.
#[derive(Debug, Serialize, ToSchema)]
pub struct NextBreak {
    /// The total from which the lower price holds.
    pub from_kg: i64,
    /// What is still missing, in whole packs.
    pub missing_kg: i64,
    /// The lower price per unit.
    pub price_pence: i64,
    /// Excluding VAT.
    pub saving_all_pence: i64,
    /// For your clubs together; null if none has a line, or its money is not yours to see.
    pub saving_yours_pence: Option<i64>,
}

/// A club's line.
#[derive(Debug, Serialize, ToSchema)]
pub struct OrderLine {
    /// Whose line.
    pub club_id: ClubId,
    /// Its name.
    pub club_name: String,
    /// Whole packs.
    pub quantity_kg: i64,
    /// Counts changes.
    pub version: i32,
    /// Whether you belong to the club.
    pub yours: bool,
    /// What the club owes; null when called off, or when the club's money is not yours to see.
    pub share: Option<Sum>,
    /// What the same quantity costs alone; null as `share`.
    pub alone: Option<Sum>,
}

/// Goods, VAT, and the two together.
#[derive(Debug, Clone, Copy, Serialize, ToSchema)]
pub struct Sum {
    /// Excluding VAT.
    pub goods_pence: i64,
    /// VAT.
    pub vat_pence: i64,
    /// To pay.
    pub total_pence: i64,
}

impl PooledOrder {
    /// An order as a member sees it.
    pub(super) fn seen_by(member: &Member, whole: WholeOrder) -> Result<Self> {
        let figures = Figures::of(&whole)?;
        let next_break = next_break(&whole, member)?;
        let (total_kg, club_count) = (whole.total_kg(), whole.lines.len());
        let lines = lines_seen_by(member, &whole, &figures.parts);
        let WholeOrder { order, product, supplier, price_breaks, .. } = whole;
        Ok(Self {
            order_id: order.id,
            state: order.state,
            title: order.title,
            product,
            supplier,
            unit_kg: order.unit_kg,
            pack_kg: order.pack_kg,
            vat_basis_points: order.vat_basis_points,
            smallest_kg: order.smallest_kg,
            price_breaks,
            closes_at: order.closes_at,
            delivery_from_on: order.delivery_from_on,
            delivery_until_on: order.delivery_until_on,
            note: order.note,
            called_off_reason: order.called_off_reason,
            total_kg,
            club_count,
            price_pence: figures.price_pence,
            next_break,
            goods_pence: figures.goods_pence,
            vat_pence: figures.vat_pence,
            lines,
            split_rule: SPLIT_RULE,
            version: order.version,
        })
    }
}

/// What an order comes to in its state.
struct Figures {
    price_pence: Option<i64>,
    goods_pence: i64,
    vat_pence: i64,
    /// By club; none when called off.
    parts: HashMap<ClubId, Part>,
}

impl Figures {
    fn of(whole: &WholeOrder) -> Result<Self, anyhow::Error> {
        match whole.order.state {
            OrderState::Gathering => {
                let now = reckon(whole)?;
                Ok(Self {
                    price_pence: Some(now.price_pence),
                    goods_pence: now.goods_pence,
                    vat_pence: now.vat_pence,
                    parts: whole.club_ids().into_iter().zip(now.parts).collect(),
                })
            }
            OrderState::Closed | OrderState::Placed | OrderState::Delivered | OrderState::Settled => Ok(Self {
                price_pence: whole.order.price_pence,
                goods_pence: whole.order.goods_pence.unwrap_or_default(),
                vat_pence: whole.order.vat_pence.unwrap_or_default(),
                parts: whole.shares.iter().map(|share| (share.club_id, Part::from(share))).collect(),
            }),
            OrderState::CalledOff => {
                Ok(Self { price_pence: None, goods_pence: 0, vat_pence: 0, parts: HashMap::new() })
            }
        }
    }
}

/// The next fall of the price, while there is still something to be done about it.
fn next_break(whole: &WholeOrder, member: &Member) -> Result<Option<NextBreak>, anyhow::Error> {
    if whole.order.state != OrderState::Gathering {
        return Ok(None);
    }
    let (list, total_kg) = (whole.price_list()?, whole.total_kg());
    let Some(next) = list.next_break(total_kg) else { return Ok(None) };
    let yours = whole.lines.iter().filter(|line| member.belongs_to(line.club_id) && sees_money(member, line.club_id));
    let yours_kg: i64 = yours.map(|line| line.quantity_kg).sum();
    let saving = |own_kg| Ok::<_, anyhow::Error>(list.saving_at_next_break_pence(own_kg, total_kg)?);
    Ok(Some(NextBreak {
        from_kg: next.from_kg,
        missing_kg: next.missing_kg,
        price_pence: next.price_pence,
        saving_all_pence: saving(total_kg)?.unwrap_or_default(),
        saving_yours_pence: if yours_kg > 0 { saving(yours_kg)? } else { None },
    }))
}

fn lines_seen_by(member: &Member, whole: &WholeOrder, parts: &HashMap<ClubId, Part>) -> Vec<OrderLine> {
    let line = |line: &Line| {
        let part = parts.get(&line.club_id).filter(|_| sees_money(member, line.club_id));
        OrderLine {
            club_id: line.club_id,
            club_name: line.club_name.clone(),
            quantity_kg: line.quantity_kg,
            version: line.version,
            yours: member.belongs_to(line.club_id),
            share: part.map(|part| part.share.into()),
            alone: part.map(|part| part.alone.into()),
        }
    };
    let mut lines: Vec<OrderLine> = whole.lines.iter().map(line).collect();
    lines.sort_by(|a, b| a.club_name.cmp(&b.club_name));
    lines
}

fn sees_money(member: &Member, club: ClubId) -> bool {
    member.may(Act::SeeShares, Some(club))
}

impl From<Share> for Sum {
    fn from(share: Share) -> Self {
        let Share { goods_pence, vat_pence } = share;
        Self { goods_pence, vat_pence, total_pence: goods_pence + vat_pence }
    }
}

impl From<PriceBreak> for price_breaks::PriceBreak {
    fn from(PriceBreak { from_kg, price_pence }: PriceBreak) -> Self {
        Self { from_kg, price_pence }
    }
}
