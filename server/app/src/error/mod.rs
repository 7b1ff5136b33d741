//! Everything that can go wrong, and how it is said on the wire (RFC 9457 problem details).
//!
//! Two kinds only. *Refused*: the request may not or cannot be done; the caller is told a stable code and plain
//! words. *Internal*: anything else; the caller learns a request id, the log the whole story, once.

mod constraints;
mod problem;

use std::fmt;

use actix_web::http::StatusCode;
use serde_json::{Map, Value};

pub(crate) use problem::unreadable;
pub use problem::{Problem, ProblemField};

/// A stable, machine-readable reason. The wire form is `snake_case`.
macro_rules! codes {
    ($($(#[$doc:meta])* $name:ident = $status:ident, $title:literal;)+) => {
        /// Why a request was refused; the wire form is `snake_case`.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, utoipa::ToSchema)]
        #[serde(rename_all = "snake_case")]
        pub enum Code { $($(#[$doc])* $name,)+ }

        impl Code {
            /// The HTTP status this code is answered with.
            #[must_use]
            pub fn status(self) -> StatusCode {
                match self { $(Self::$name => StatusCode::$status,)+ }
            }

            /// The short title, the same for every occurrence.
            #[must_use]
            pub fn title(self) -> &'static str {
                match self { $(Self::$name => $title,)+ }
            }
        }
    };
}

codes! {
    /// The body, path or query could not be read.
    Unreadable = BAD_REQUEST, "The request could not be read";
    /// A POST that must not happen twice came without an `Idempotency-Key`.
    IdempotencyKeyMissing = BAD_REQUEST, "An Idempotency-Key header is needed";
    /// Nobody is signed in, or the token has expired.
    NotSignedIn = UNAUTHORIZED, "You are not signed in";
    /// Address or password do not fit.
    WrongCredentials = UNAUTHORIZED, "The e-mail address or the password is wrong";
    /// The session was ended, or its refresh token was used twice.
    SessionEnded = UNAUTHORIZED, "The session has ended";
    /// The caller's role does not allow this.
    NotYourRole = FORBIDDEN, "Your role does not allow this";
    /// A write came from another site.
    ForeignOrigin = FORBIDDEN, "The request came from another site";
    /// The machine is not open to this club.
    MachineNotOpenToClub = FORBIDDEN, "The machine is not open to this club";
    /// Absent, or in another network.
    NotFound = NOT_FOUND, "There is no such thing here";
    /// The half-days are held by another booking.
    MachineTaken = CONFLICT, "The machine is taken in that time";
    /// Another of the same name exists.
    NameTaken = CONFLICT, "That name is taken";
    /// The person already has this role.
    AlreadyMember = CONFLICT, "The person already has this role";
    /// The last coordinator cannot leave.
    LastCoordinator = CONFLICT, "The network needs a coordinator";
    /// A booking lies in the availability.
    AvailabilityInUse = CONFLICT, "A booking lies in that time";
    /// Two spans of availability overlap.
    AvailabilityOverlaps = CONFLICT, "The machine is already available in that time";
    /// The ground is closed in that time already.
    GroundClosed = CONFLICT, "The ground is closed then already";
    /// The round no longer takes requests or changes.
    RoundNotGathering = CONFLICT, "The round no longer takes requests";
    /// The ground has a request in the round.
    AlreadyAsked = CONFLICT, "A place is asked for already";
    /// The request was taken back.
    RequestWithdrawn = CONFLICT, "The request was taken back";
    /// Somebody's request counts on the tractor.
    TractorCountedOn = CONFLICT, "A request counts on the tractor";
    /// The machine is in the round.
    AlreadyInRound = CONFLICT, "The machine is in the round already";
    /// The round's plan cannot be offered: not ready, or already used.
    PlanNotReady = CONFLICT, "The plan cannot be used now";
    /// What the plan was made from has changed since.
    PlanStale = CONFLICT, "The plan is out of date";
    /// Somebody put the plan into force.
    PlanInForce = CONFLICT, "The plan is in force already";
    /// A re-plan leaves everything as it is.
    NothingToReplan = CONFLICT, "Nothing would change";
    /// The round is not being offered, so there is nothing to answer or agree.
    RoundNotOffered = CONFLICT, "The round is not being offered";
    /// The round's state does not allow the step.
    RoundStepNotAllowed = CONFLICT, "The round cannot take that step now";
    /// No club has accepted a place.
    NothingAccepted = CONFLICT, "No club has accepted a place";
    /// The offer was answered otherwise, or taken back.
    OfferAnswered = CONFLICT, "The offer has been answered";
    /// Places of a round are taken meanwhile.
    PlacesTaken = CONFLICT, "Some places cannot be had";
    /// A round decides who has the machine then.
    AskForPlace = CONFLICT, "Ask for a place in the round";
    /// The round's step is not one of planning.
    RoundNotToPlan = CONFLICT, "The round is not to be planned now";
    /// The order no longer gathers lines.
    OrderNotGathering = CONFLICT, "The order no longer takes lines";
    /// The order's state does not allow the step.
    StepNotAllowed = CONFLICT, "The order cannot take that step now";
    /// Places in the hire's round are not agreed.
    RoundNotAgreed = CONFLICT, "The places are not agreed";
    /// Another statement of the hire was entered before.
    StatementStands = CONFLICT, "Another statement stands";
    /// What was entered for the hire is paid.
    StatementSettled = CONFLICT, "The hire is settled";
    /// The booking's state does not allow it.
    BookingEnded = CONFLICT, "The booking no longer stands";
    /// The booking was answered otherwise.
    BookingAnswered = CONFLICT, "The booking has been answered";
    /// It is an offer to the first on the waiting list, not yet a booking.
    OfferOpen = CONFLICT, "It is an offer, not yet a booking";
    /// The offer was not taken in time.
    OfferLapsed = CONFLICT, "The offer has lapsed";
    /// Nobody holds the time that somebody would wait for.
    MachineFree = CONFLICT, "The machine is free in that time";
    /// The club waits for the same already.
    AlreadyWaiting = CONFLICT, "The club is on the list already";
    /// Some occurrences of a standing booking cannot be had.
    StandingClashes = CONFLICT, "Some of these times cannot be had";
    /// A proposal to swap that was answered, withdrawn, or overtaken by a change.
    SwapLapsed = CONFLICT, "The proposal no longer stands";
    /// The same swap is proposed already.
    SwapProposed = CONFLICT, "The same swap is proposed already";
    /// The machine is out of service.
    MachineOutOfService = CONFLICT, "The machine is out of service";
    /// The handover was signed by somebody else first.
    HandoverSigned = CONFLICT, "The handover has been signed";
    /// The fault was cleared before.
    FaultCleared = CONFLICT, "The fault has been cleared";
    /// Nothing about the booking waits for a decision.
    NothingToDecide = CONFLICT, "Nothing waits for a decision";
    /// The same key was used for another request.
    IdempotencyKeyReused = CONFLICT, "The Idempotency-Key belongs to another request";
    /// Entered once, never changed.
    NeverEdited = CONFLICT, "What is entered is never edited";
    /// The thing is referred to and cannot go.
    InUse = CONFLICT, "Something still refers to this";
    /// A file is larger than is taken.
    FileTooLarge = PAYLOAD_TOO_LARGE, "The file is too large";
    /// Somebody changed it since it was read.
    ChangedMeanwhile = PRECONDITION_FAILED, "Somebody changed this meanwhile";
    /// An edit came without `If-Match`.
    IfMatchMissing = PRECONDITION_REQUIRED, "An If-Match header is needed";
    /// One or more fields break a rule.
    Invalid = UNPROCESSABLE_ENTITY, "Something in the form needs another look";
    /// The password is too short or too long.
    PasswordTooShort = UNPROCESSABLE_ENTITY, "The password is too short";
    /// A file is neither a PDF nor a picture that opens.
    FileNotReadable = UNPROCESSABLE_ENTITY, "The file cannot be read";
    /// The hour meter runs backwards.
    MeterRunsBack = UNPROCESSABLE_ENTITY, "The hour meter stands lower than before";
    /// A mailed link was used before, has expired or is unknown.
    LinkSpent = UNPROCESSABLE_ENTITY, "The link no longer works";
    /// The CSV has bad lines.
    ImportFaults = UNPROCESSABLE_ENTITY, "The file has lines that cannot be read";
    /// The span is not made of half-days.
    NotHalfDays = UNPROCESSABLE_ENTITY, "A booking is made of whole half-days";
    /// The machine is not available then.
    OutsideAvailability = UNPROCESSABLE_ENTITY, "The machine is not available then";
    /// Shorter than the machine's shortest booking.
    TooShort = UNPROCESSABLE_ENTITY, "The booking is too short";
    /// Longer than the machine's longest booking.
    TooLong = UNPROCESSABLE_ENTITY, "The booking is too long";
    /// The time has passed.
    InThePast = UNPROCESSABLE_ENTITY, "That time has passed";
    /// The work fits into no time that is allowed.
    RequestTooLong = UNPROCESSABLE_ENTITY, "The work does not fit into the time";
    /// The tractor cannot pull the machine.
    TractorTooWeak = UNPROCESSABLE_ENTITY, "The tractor is too weak for the machine";
    /// A hire costs more than all its clubs would pay alone.
    HireTooEmpty = UNPROCESSABLE_ENTITY, "The hire costs more than hiring alone";
    /// A rule asks more of a club than hiring alone.
    ShareAboveAlone = UNPROCESSABLE_ENTITY, "A club would pay more than alone";
    /// More requests than one plan holds.
    RoundTooLarge = UNPROCESSABLE_ENTITY, "The round is too large to plan";
    /// A quantity is not whole packs.
    NotWholePacks = UNPROCESSABLE_ENTITY, "The quantity is not whole packs";
    /// A quantity no club would mean.
    QuantityAbsurd = UNPROCESSABLE_ENTITY, "The quantity cannot be right";
    /// A reading is outside what can be.
    ReadingImpossible = UNPROCESSABLE_ENTITY, "A reading cannot be right";
    /// The walk has no reading of a criterion it needs.
    CriteriaMissing = UNPROCESSABLE_ENTITY, "The walk lacks readings";
    /// A walk cannot lie ahead.
    DateInFuture = UNPROCESSABLE_ENTITY, "The date lies in the future";
    /// Too many tries.
    SlowDown = TOO_MANY_REQUESTS, "Too many tries; wait a little";
    /// Our fault; the request id finds it in the log.
    Internal = INTERNAL_SERVER_ERROR, "Something went wrong on our side";
}

/// A refusal: what the caller is told.
#[derive(Debug, Clone, PartialEq)]
pub struct Refused {
    /// The reason.
    pub code: Code,
    /// Plain words for a person.
    pub detail: String,
    /// The fields concerned, each with its own words.
    pub fields: Vec<ProblemField>,
    /// Further members of the problem, such as what is free instead.
    pub extensions: Map<String, Value>,
}

impl Refused {
    /// Names the field concerned, with the same words.
    #[must_use]
    pub fn field(mut self, field: &str) -> Self {
        self.fields.push(ProblemField { field: field.to_owned(), detail: self.detail.clone() });
        self
    }

    /// Points into a part of what was sent: "span" within "hire" becomes "hire.span".
    #[must_use]
    pub fn within(mut self, part: &str) -> Self {
        self.fields.iter_mut().for_each(|field| field.field = format!("{part}.{}", field.field));
        self
    }

    /// Adds a further member to the problem.
    #[must_use]
    pub fn with(mut self, name: &str, value: impl serde::Serialize) -> Self {
        if let Ok(value) = serde_json::to_value(value) {
            self.extensions.insert(name.to_owned(), value);
        }
        self
    }
}

/// Refuses with a code and plain words.
pub fn refuse(code: Code, detail: impl Into<String>) -> Refused {
    Refused { code, detail: detail.into(), fields: Vec::new(), extensions: Map::new() }
}

/// Refuses one field of a form: code `invalid`.
pub fn invalid(field: &str, detail: impl Into<String>) -> Refused {
    refuse(Code::Invalid, detail).field(field)
}

/// The refusal for what is absent or another network's: the two must not be told apart.
#[must_use]
pub fn not_found() -> Refused {
    refuse(Code::NotFound, "It may have been removed, or you may not see it.")
}

/// Any failure of a request.
#[derive(Debug)]
pub enum Error {
    /// Told to the caller.
    Refused(Box<Refused>),
    /// Logged, and answered with a request id.
    Internal(anyhow::Error),
}

impl Error {
    /// As [`Refused::within`]; a failure of ours stays as it is.
    #[must_use]
    pub fn within(self, part: &str) -> Self {
        match self {
            Self::Refused(refused) => (*refused).within(part).into(),
            internal @ Self::Internal(_) => internal,
        }
    }
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Refused(refused) => write!(f, "{:?}: {}", refused.code, refused.detail),
            Self::Internal(cause) => write!(f, "{cause:#}"),
        }
    }
}

impl From<Refused> for Error {
    fn from(refused: Refused) -> Self {
        Self::Refused(Box::new(refused))
    }
}

impl From<anyhow::Error> for Error {
    fn from(cause: anyhow::Error) -> Self {
        Self::Internal(cause)
    }
}

/// Only a missing row and a broken constraint speak to the caller; every other query error is ours.
impl From<diesel::result::Error> for Error {
    fn from(error: diesel::result::Error) -> Self {
        use diesel::result::Error as Query;
        match error {
            Query::NotFound => not_found().into(),
            Query::DatabaseError(_, ref info) => match info.constraint_name().and_then(constraints::refusal) {
                Some(refused) => refused.into(),
                None => Self::Internal(anyhow::Error::new(error)),
            },
            other => Self::Internal(anyhow::Error::new(other)),
        }
    }
}

/// What handlers, stores and jobs return.
pub type Result<T, E = Error> = std::result::Result<T, E>;
