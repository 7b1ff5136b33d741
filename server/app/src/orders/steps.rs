//! What the coordinator does with an order once it has closed, or to give it up.

use chrono::{DateTime, Utc};
use logistics::order_state::{self, OrderStateError};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::closing::{TOLD_OF_MONEY, tell_called_off};
use super::gathering::{show_order, unschedule};
use super::letters::Letters;
use super::store::{self, writing};
use super::view::PooledOrder;
use super::words::{OrderState, OrderStep};
use crate::access::{Act, Member, recipients};
use crate::database::Tx;
use crate::error::{Code, Refused, Result, invalid, refuse};
use crate::ids::OrderId;
use crate::mail;
use crate::text::note_parse;

/// A step to take.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
pub struct TakeStep {
    /// Which.
    pub step: OrderStep,
    /// Why the order is called off; needed for that, and told to the clubs.
    #[serde(default)]
    pub reason: Option<String>,
}

impl TakeStep {
    fn called_off_reason(&self) -> Result<Option<String>, Refused> {
        if self.step != OrderStep::CallOff {
            return Ok(None);
        }
        let reason = note_parse("reason", self.reason.as_deref().unwrap_or_default())?;
        if reason.is_empty() {
            return Err(invalid("reason", "The clubs are told the reason: write one."));
        }
        Ok(Some(reason))
    }
}

/// Takes a step with an order and tells the clubs in it; letters point to pages under `public_url`.
///
/// # Errors
/// `not_found`, `not_your_role`; `step_not_allowed` from where the order stands; `invalid` when it is called off without
/// a reason.
pub async fn take_step(
    tx: &mut Tx,
    member: &Member,
    public_url: &str,
    id: OrderId,
    wish: &TakeStep,
    now: DateTime<Utc>,
) -> Result<PooledOrder> {
    member.require(Act::RunOrder, None)?;
    let network = member.network_id;
    let reason = wish.called_off_reason()?;
    let order = store::lock(tx, network, id).await?;
    let state = order_state::next(order.state.into(), wish.step.into()).map_err(refusal)?.into();
    writing::set_state(tx, network, id, state, reason.as_deref()).await?;
    match reason {
        Some(reason) => {
            unschedule(tx, id, now).await?;
            let whole = store::find(tx, network, id).await?;
            tell_called_off(tx, network, public_url, &whole, &reason, now).await?;
        }
        None => tell_moved(tx, member, public_url, id, state, now).await?,
    }
    show_order(tx, member, id).await
}

async fn tell_moved(
    tx: &mut Tx,
    member: &Member,
    public_url: &str,
    id: OrderId,
    state: OrderState,
    now: DateTime<Utc>,
) -> Result<()> {
    let network = member.network_id;
    let whole = store::find(tx, network, id).await?;
    let letters = Letters::about(&whole, public_url);
    for to in recipients(tx, network, Some(&whole.club_ids()), &TOLD_OF_MONEY).await? {
        if let Some(letter) = letters.moved(&to, state) {
            mail::post(tx, Some(network), letter, now).await?;
        }
    }
    Ok(())
}

fn refusal(error: OrderStateError) -> Refused {
    match error {
        OrderStateError::NotFromHere { .. } => refuse(Code::StepNotAllowed, sentence(&error.to_string())),
        OrderStateError::UnknownState => refuse(Code::StepNotAllowed, "The order stands where no step leads from."),
    }
}

/// "an order that …" as a sentence.
fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| format!("{}{}.", first.to_uppercase(), letters.as_str()))
}
