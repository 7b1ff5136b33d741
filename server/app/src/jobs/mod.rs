//! The queue: work outside a request. A job is written in the transaction that causes it, claimed for a limited time
//! by any worker, run at least once, retried with back-off, then parked and shown to the coordinator.

mod store;
mod worker;

use chrono::{DateTime, Utc};
use diesel_async::AsyncPgConnection;
use serde::{Deserialize, Serialize};

pub use store::{drop_subject, waiting_count};
pub use worker::{run_due, work};

use crate::error::Result;
use crate::ids::{AttachmentId, BookingId, MachineId, NetworkId, OrderId, PlanId, RoundId};
use crate::mail::Letter;

/// The kind of job that may take a minute, and has workers of its own.
const MAKE_PLAN: &str = "make_plan";

/// Everything the queue can do.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum Job {
    /// Hand a letter to the mail server.
    SendMail(Letter),
    /// Close a pooled order at its time.
    CloseOrder {
        /// Which.
        close_order: OrderId,
    },
    /// Close the requests of a round at their deadline.
    CloseRequests {
        /// Which round.
        close_requests: RoundId,
    },
    /// Carry an offered round on: offers lapse, and it is agreed when no answer is outstanding.
    SettleRound {
        /// Which.
        settle_round: RoundId,
    },
    /// Offer what a plan gives of the places that came free.
    OfferRefill {
        /// Which plan.
        offer_refill: PlanId,
    },
    /// See whether anything still refers to a file.
    LookAgain {
        /// Which.
        look_again: AttachmentId,
    },
    /// See whether a service of a machine is due.
    CheckServices {
        /// Which.
        check_services: MachineId,
    },
    /// Invite the clubs to ask for places in a round.
    InviteToRound {
        /// Which.
        invite_to_round: RoundId,
    },
    /// Remind the clubs that have not asked that the requests of a round close tomorrow.
    RemindRound {
        /// Which.
        remind_round: RoundId,
    },
    /// Tell the clubs that an order closes tomorrow.
    RemindOrder {
        /// Which.
        remind_order: OrderId,
    },
    /// Make a plan of a round.
    MakePlan {
        /// Which.
        make_plan: PlanId,
    },
    /// End an offer that nobody took, and offer the place to the next in line.
    LapseOffer {
        /// Which.
        lapse_offer: BookingId,
    },
}

impl Job {
    /// As stored.
    #[must_use]
    pub fn kind(&self) -> &'static str {
        match self {
            Self::SendMail(_) => "send_mail",
            Self::CloseOrder { .. } => "close_order",
            Self::CloseRequests { .. } => "close_requests",
            Self::SettleRound { .. } => "settle_round",
            Self::OfferRefill { .. } => "offer_refill",
            Self::InviteToRound { .. } => "invite_to_round",
            Self::RemindRound { .. } => "remind_round",
            Self::RemindOrder { .. } => "remind_order",
            Self::MakePlan { .. } => MAKE_PLAN,
            Self::LapseOffer { .. } => "lapse_offer",
            Self::LookAgain { .. } => "look_again",
            Self::CheckServices { .. } => "check_services",
        }
    }

    /// What it is about, where there may be only one such job.
    #[must_use]
    pub fn subject(&self) -> Option<String> {
        match self {
            Self::SendMail(_) => None,
            Self::OfferRefill { offer_refill } => Some(offer_refill.to_string()),
            Self::LookAgain { look_again } => Some(look_again.to_string()),
            Self::CheckServices { check_services } => Some(check_services.to_string()),
            Self::CloseRequests { close_requests: round }
            | Self::SettleRound { settle_round: round }
            | Self::InviteToRound { invite_to_round: round }
            | Self::RemindRound { remind_round: round } => Some(round.to_string()),
            Self::CloseOrder { close_order: order } | Self::RemindOrder { remind_order: order } => {
                Some(order.to_string())
            }
            Self::MakePlan { make_plan } => Some(make_plan.to_string()),
            Self::LapseOffer { lapse_offer } => Some(lapse_offer.to_string()),
        }
    }
}

/// Queues a job to run at `run_at` or soon after. One with a subject that is queued already is moved to that time.
///
/// # Errors
/// A failing database.
pub async fn enqueue(
    tx: &mut AsyncPgConnection,
    network: Option<NetworkId>,
    job: &Job,
    run_at: DateTime<Utc>,
) -> Result<()> {
    store::insert(tx, network, job, run_at).await
}
