//! The identifiers of the domain: one type each, so that a club cannot be passed for a machine.
//!
//! All are UUIDv7 (RFC 9562): they sort by creation, and a phone without signal can mint one.

use diesel_derive_newtype::DieselNewType;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;

macro_rules! ids {
    ($($(#[$doc:meta])* $name:ident),+ $(,)?) => {$(
        $(#[$doc])*
        #[derive(
            Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, ToSchema, DieselNewType,
        )]
        #[serde(transparent)]
        #[schema(value_type = Uuid)]
        pub struct $name(pub Uuid);

        impl $name {
            /// A new identifier, later than all before it.
            #[must_use]
            #[expect(clippy::new_without_default, reason = "a default identifier would be a new one each time")]
            pub fn new() -> Self {
                Self(Uuid::now_v7())
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                self.0.fmt(f)
            }
        }
    )+};
}

ids! {
    /// A network: the tenant.
    NetworkId,
    /// A person: an account.
    PersonId,
    /// A person's place in a network or club.
    MembershipId,
    /// A mailed offer of a membership.
    InvitationId,
    /// A club.
    ClubId,
    /// A ground.
    GroundId,
    /// A closure of a ground.
    ClosureId,
    /// A pitch.
    PitchId,
    /// A supplier.
    SupplierId,
    /// A product.
    ProductId,
    /// A machine.
    MachineId,
    /// A span in which a machine can be booked.
    AvailabilityId,
    /// A booking.
    BookingId,
    /// A place on a waiting list.
    WaitingId,
    /// A standing booking.
    StandingId,
    /// A proposal that two bookings change places.
    SwapId,
    /// A calendar feed.
    FeedId,
    /// A pooled order.
    OrderId,
    /// A round: machines travelling from club to club.
    RoundId,
    /// A hire of a machine.
    HireId,
    /// What was entered for a hire.
    HireStatementId,
    /// A club's request for a place in a round.
    RequestId,
    /// A plan of a round.
    PlanId,
    /// A place of a round, offered to a club.
    OfferId,
    /// An entry of a club's turns.
    TurnId,
    /// A pin or ban of a request.
    PinId,
    /// A version of a scoring scheme.
    SchemeId,
    /// A walk.
    WalkId,
    /// A file that something refers to.
    AttachmentId,
    /// A handover of a machine.
    HandoverId,
    /// A fault of a machine.
    FaultId,
    /// A service to be done again and again.
    ServicePlanId,
    /// A note of who may operate a machine.
    TrainingId,
    /// A job of the queue.
    JobId,
}
