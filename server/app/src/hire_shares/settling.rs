//! Settling a hire: the invoice is paid as it was shared, and nobody owes for it any more.

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::facts::Facts;
use super::letters::Letters;
use super::store;
use super::view::HireCosts;
use crate::access::{Act, Member};
use crate::database::Tx;
use crate::error::{Code, Result, refuse};
use crate::ids::{HireId, HireStatementId};

/// The statement to settle: the one that was looked at.
#[derive(Debug, Clone, Copy, Serialize, Deserialize, ToSchema)]
pub struct SettleHire {
    /// Which statement.
    pub statement_id: HireStatementId,
}

/// Marks what was entered for a hire as paid, for good, and tells the clubs; letters point to pages under `public_url`.
///
/// # Errors
/// `not_found`, `not_your_role`; `statement_stands` where another statement took its place; `statement_settled`.
pub async fn settle(
    tx: &mut Tx,
    member: &Member,
    public_url: &str,
    id: HireId,
    said: SettleHire,
    now: DateTime<Utc>,
) -> Result<HireCosts> {
    member.require(Act::EnterHireShares, None)?;
    let mut facts = Facts::of_bookings(tx, member.network_id, id, true).await?;
    if facts.standing.as_ref().is_none_or(|row| row.id != said.statement_id) {
        return Err(refuse(Code::StatementStands, "Another statement stands; look at it before you settle.").into());
    }
    store::settle(tx, member, said.statement_id, now).await?;
    facts.settled_at = Some(now);
    if let Some(letters) = Letters::of(tx, member.network_id, &facts, public_url).await? {
        letters.post_settled(tx, now).await?;
    }
    HireCosts::seen_by(tx, member, &facts).await
}
