//! What needs a person: one sentence each, with where to go, by what they may do about it.
//!
//! Promises: nobody is told of what is not theirs, and everything told can be done by whoever is told. Only looks.

mod closures;
mod hires;
mod rounds;
mod store;

use chrono::{DateTime, NaiveDate, TimeDelta, Utc};
use chrono_tz::Tz;
use serde::Serialize;
use utoipa::ToSchema;

use store::{Beginnings, Booked, Bookings, Gathering};

use crate::access::{Act, Member, Reach, Role, reach};
use crate::database::Tx;
use crate::error::Result;
use crate::figures::pounds;
use crate::handovers;
use crate::ids::ClubId;
use crate::time::{instant, local, span_words, today, zone_of};

/// How far ahead a club is reminded of its bookings.
const BOOKING_SOON: TimeDelta = TimeDelta::days(10);
/// How far ahead a club is reminded that an order with its line closes.
const CLOSING_SOON: TimeDelta = TimeDelta::days(7);
/// How long a walk's score is worth something: a pitch changes within a season's third.
const WALK_LASTS: TimeDelta = TimeDelta::days(120);
/// How long the coordinator is told of a mail that could not be sent.
const PARKED_TOLD: TimeDelta = TimeDelta::days(14);

/// Why something needs somebody.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum NeedKind {
    /// A club waits for an answer about a machine.
    BookingToAgree,
    /// A place that came free is held for the club.
    OfferToTake,
    /// A place of a round is offered to the club.
    PlaceToAnswer,
    /// Another club would swap.
    SwapToAnswer,
    /// A machine is out of service, and a booking behind it waits for a decision.
    BookingToDecide,
    /// A machine is booked for a ground that is closed then.
    BookingOnClosedDays,
    /// The club has taken a machine over and not given it back.
    MachineToGiveBack,
    /// A machine comes to the club soon.
    BookingSoon,
    /// An order with the club's line closes soon.
    OrderClosing,
    /// An order gathers without the club.
    OrderWithoutUs,
    /// A round takes requests, and the club has not asked.
    RoundWithoutUs,
    /// All clubs have answered, and the round is not booked yet.
    RoundToAgree,
    /// A round is on offer, and no club has answered.
    RoundUnanswered,
    /// A ground is closed on days of an agreed round.
    RoundToReplan,
    /// The requests of a round have closed, and it waits to be planned.
    RoundToPlan,
    /// A closed order waits to be placed with the supplier.
    OrderToPlace,
    /// A hire is over, and its shares are not entered.
    HireToEnter,
    /// The shares of a hire are entered and not settled.
    HireToSettle,
    /// The club owes its share of an order.
    ShareOwed,
    /// The club owes its share of a hire.
    HireOwed,
    /// Mail could not be sent.
    MailParked,
    /// Somebody is missing.
    InvitePeople,
    /// The network or club is still to be set up.
    FirstSteps,
    /// A pitch was not walked for long.
    PitchUnwalked,
}

/// One thing that needs a person.
#[derive(Debug, Serialize, ToSchema)]
pub struct Need {
    /// Why.
    pub kind: NeedKind,
    /// What, as one would say it.
    pub sentence: String,
    /// Where to do it: a path of the web front end.
    pub href: String,
    /// By when, if there is such a time.
    pub due_at: Option<DateTime<Utc>>,
}

impl Need {
    pub(super) fn of(kind: NeedKind, sentence: String, href: String) -> Self {
        Self { kind, sentence, href, due_at: None }
    }

    pub(super) fn due(self, at: DateTime<Utc>) -> Self {
        Self { due_at: Some(at), ..self }
    }
}

/// What needs a member, most pressing first.
///
/// # Errors
/// A failing database.
pub async fn needs_of(tx: &mut Tx, member: &Member, now: DateTime<Utc>) -> Result<Vec<Need>> {
    let zone = zone_of(tx, member.network_id).await?;
    let mut needs = Vec::new();
    if member.may(Act::AnswerBooking, None) {
        needs.extend(to_agree(tx, member, zone, now).await?);
        needs.extend(to_decide(tx, member, zone, now).await?);
    }
    needs.extend(of_clubs(tx, member, zone, now).await?);
    let books_for = clubs_of(member, who_may(Act::Book));
    needs.extend(closures::of_closures(tx, member, (member.may(Act::RunRound, None), &books_for), zone, now).await?);
    if member.may(Act::AddClub, None) {
        needs.extend(of_coordinator(tx, member, now).await?);
        needs.extend(rounds::of_coordinator(tx, member).await?);
        needs.extend(hires::of_coordinator(tx, member, zone, now).await?);
    }
    // What has a time comes first, in order of time; the rest in the order of the kinds.
    needs.sort_by_key(|need| (need.due_at.is_none(), need.due_at, need.kind));
    Ok(needs)
}

/// The clubs in which the member holds a role that is told. A coordinator's reach over all clubs does not count: the
/// clubs' own people do the clubs' own work.
pub(super) fn clubs_of(member: &Member, told: impl Fn(Role) -> bool) -> Vec<ClubId> {
    let held = member.roles.iter().filter(|&&(role, _)| told(role));
    held.filter_map(|&(_, club)| club).collect()
}

/// Tells those who may do an act for their club.
fn who_may(act: Act) -> impl Fn(Role) -> bool {
    move |role| reach(role, act) == Reach::OwnClub
}

async fn to_agree(tx: &mut Tx, member: &Member, zone: Tz, now: DateTime<Utc>) -> Result<Vec<Need>> {
    let asked = store::bookings(tx, member.network_id, Bookings::Asked, local(zone, now)).await?;
    let need = |Booked { id, machine, club, from, until }| {
        let sentence = format!("{club} asks for {machine}: {}.", span_words(from, until));
        Need::of(NeedKind::BookingToAgree, sentence, format!("/bookings/{id}")).due(instant(zone, from))
    };
    Ok(asked.into_iter().map(need).collect())
}

async fn to_decide(tx: &mut Tx, member: &Member, zone: Tz, now: DateTime<Utc>) -> Result<Vec<Need>> {
    let wall = local(zone, now);
    let waiting = handovers::undecided(tx, member.network_id, wall).await?;
    let waiting = store::bookings(tx, member.network_id, Bookings::Among(&waiting), wall).await?;
    let need = |Booked { id, machine, club, from, until }| {
        let when = span_words(from, until);
        let sentence = format!("{machine} is out of service: decide about the booking of {club}, {when}.");
        Need::of(NeedKind::BookingToDecide, sentence, format!("/bookings/{id}")).due(instant(zone, from))
    };
    Ok(waiting.into_iter().map(need).collect())
}

async fn of_clubs(tx: &mut Tx, member: &Member, zone: Tz, now: DateTime<Utc>) -> Result<Vec<Need>> {
    let mut needs = of_bookings(tx, member, zone, now).await?;
    needs.extend(to_give_back(tx, member, zone, now).await?);
    needs.extend(of_offers(tx, member, zone, now).await?);
    needs.extend(of_orders(tx, member, now).await?);
    needs.extend(rounds::of_clubs(tx, member, now).await?);
    let treasurer_of = clubs_of(member, |role| role == Role::Treasurer);
    for (club, title, goods_pence, vat_pence) in store::owed(tx, member.network_id, &treasurer_of).await? {
        let sentence = format!("{club} owes {} for “{title}”.", pounds(goods_pence + vat_pence));
        needs.push(Need::of(NeedKind::ShareOwed, sentence, "/shares".to_owned()));
    }
    needs.extend(hires::of_treasurer(tx, member).await?);
    needs.extend(of_setting_up(tx, member, now).await?);
    let walker_of = clubs_of(member, who_may(Act::Walk));
    let day = today(zone, now);
    for (id, pitch, club, walked_on) in store::unwalked(tx, member.network_id, &walker_of, day - WALK_LASTS).await? {
        let sentence = format!("{pitch} of {club} {}: walk it to see where it stands.", walked_words(walked_on, day));
        needs.push(Need::of(NeedKind::PitchUnwalked, sentence, format!("/pitches/{id}/walk")));
    }
    Ok(needs)
}

async fn of_bookings(tx: &mut Tx, member: &Member, zone: Tz, now: DateTime<Utc>) -> Result<Vec<Need>> {
    let own = clubs_of(member, |_| true);
    let soon = Bookings::AgreedBefore(&own, local(zone, now + BOOKING_SOON));
    let booked = store::bookings(tx, member.network_id, soon, local(zone, now)).await?;
    let need = |Booked { id, machine, club, from, until }| {
        let sentence = format!("{machine} comes to {club}: {}.", span_words(from, until));
        Need::of(NeedKind::BookingSoon, sentence, format!("/bookings/{id}")).due(instant(zone, from))
    };
    Ok(booked.into_iter().map(need).collect())
}

async fn to_give_back(tx: &mut Tx, member: &Member, zone: Tz, now: DateTime<Utc>) -> Result<Vec<Need>> {
    let own = clubs_of(member, who_may(Act::HandOver));
    let out = store::bookings(tx, member.network_id, Bookings::TakenOver(&own), local(zone, now)).await?;
    let need = |Booked { id, machine, club, until, .. }| {
        let sentence = format!("{club} has {machine}: look it over and sign when you give it back.");
        Need::of(NeedKind::MachineToGiveBack, sentence, format!("/bookings/{id}/handover")).due(instant(zone, until))
    };
    Ok(out.into_iter().map(need).collect())
}

/// Places that came free for a club, and swaps that others propose to it.
async fn of_offers(tx: &mut Tx, member: &Member, zone: Tz, now: DateTime<Utc>) -> Result<Vec<Need>> {
    let books_for = clubs_of(member, who_may(Act::Book));
    let mut needs = Vec::new();
    for (Booked { id, machine, club, from, until }, held_until) in
        store::offers(tx, member.network_id, &books_for, now).await?
    {
        let sentence = format!("{machine} is held for {club}: {}. Take it or leave it.", span_words(from, until));
        needs.push(Need::of(NeedKind::OfferToTake, sentence, format!("/bookings/{id}")).due(held_until));
    }
    let swaps_for = clubs_of(member, who_may(Act::Swap));
    let proposed = store::swaps(tx, member.network_id, &swaps_for, local(zone, now)).await?;
    for (them, Booked { id, machine, club, from, until }) in proposed {
        let sentence = format!("{them} would swap with {club}: your {machine}, {}.", span_words(from, until));
        needs.push(Need::of(NeedKind::SwapToAnswer, sentence, format!("/bookings/{id}")).due(instant(zone, from)));
    }
    Ok(needs)
}

async fn of_orders(tx: &mut Tx, member: &Member, now: DateTime<Utc>) -> Result<Vec<Need>> {
    let may_join = clubs_of(member, who_may(Act::ChangeLine));
    let see_shares = clubs_of(member, who_may(Act::SeeShares));
    let clubs = store::club_names(tx, member.network_id, &see_shares).await?;
    let mut needs = Vec::new();
    for order in store::gathering(tx, member.network_id, &see_shares, now).await? {
        let Gathering { id, title, closes_at, joined } = order;
        let href = format!("/orders/{id}");
        for (club, name) in &clubs {
            if joined.contains(club) && closes_at <= now + CLOSING_SOON {
                let sentence = format!("“{title}” closes soon: is the quantity of {name} still right?");
                needs.push(Need::of(NeedKind::OrderClosing, sentence, href.clone()).due(closes_at));
            } else if !joined.contains(club) && may_join.contains(club) {
                let sentence = format!("“{title}” gathers without {name} so far.");
                needs.push(Need::of(NeedKind::OrderWithoutUs, sentence, href.clone()).due(closes_at));
            }
        }
    }
    Ok(needs)
}

/// What is to be set up in a club.
async fn of_setting_up(tx: &mut Tx, member: &Member, now: DateTime<Utc>) -> Result<Vec<Need>> {
    let mut needs = Vec::new();
    let edited = clubs_of(member, who_may(Act::EditClub));
    for (id, club) in store::clubs_without_pitch(tx, member.network_id, &edited).await? {
        let sentence = format!("Enter the grounds and pitches of {club}.");
        needs.push(Need::of(NeedKind::FirstSteps, sentence, format!("/club/{id}")));
    }
    let peopled = clubs_of(member, who_may(Act::ManagePeople));
    for (id, club) in store::clubs_without(tx, member.network_id, Some(&peopled), Role::Treasurer, now).await? {
        let sentence = format!("{club} has no treasurer here yet: invite whoever keeps the money.");
        needs.push(Need::of(NeedKind::InvitePeople, sentence, format!("/club/{id}")));
    }
    Ok(needs)
}

async fn of_coordinator(tx: &mut Tx, member: &Member, now: DateTime<Utc>) -> Result<Vec<Need>> {
    let mut needs = first_steps(&store::beginnings(tx, member.network_id).await?);
    for (id, title) in store::closed_orders(tx, member.network_id).await? {
        let sentence = format!("“{title}” has closed: place it with the supplier.");
        needs.push(Need::of(NeedKind::OrderToPlace, sentence, format!("/orders/{id}")));
    }
    let leaderless = store::clubs_without(tx, member.network_id, None, Role::GroundsLead, now).await?;
    needs.extend(match leaderless.as_slice() {
        [] => None,
        [(id, club)] => {
            let sentence = format!("{club} has no grounds lead yet: invite one.");
            Some(Need::of(NeedKind::InvitePeople, sentence, format!("/club/{id}")))
        }
        clubs => {
            let sentence = format!("{} clubs have no grounds lead yet: invite them.", clubs.len());
            Some(Need::of(NeedKind::InvitePeople, sentence, "/network/people".to_owned()))
        }
    });
    let sentence = match store::parked_mails(tx, member.network_id, now - PARKED_TOLD).await? {
        0 => return Ok(needs),
        1 => "A mail could not be sent: look whether the address is right.".to_owned(),
        mails => format!("{mails} mails could not be sent: look whether the addresses are right."),
    };
    needs.push(Need::of(NeedKind::MailParked, sentence, "/network/mails".to_owned()));
    Ok(needs)
}

/// What a network still lacks, in the order in which it is best set up.
fn first_steps(has: &Beginnings) -> Vec<Need> {
    let steps = [
        (has.clubs, "Add the clubs of your network, one by one or from a spreadsheet.", "/network"),
        (has.machines, "Add the machines your clubs share.", "/machines/new"),
        (has.products, "Enter suppliers and products, so that your clubs can order together.", "/network/suppliers"),
        (has.orders, "Open the first pooled order.", "/orders/new"),
    ];
    let open = steps.into_iter().filter(|&(done, ..)| !done);
    open.map(|(_, sentence, href)| Need::of(NeedKind::FirstSteps, sentence.to_owned(), href.to_owned())).collect()
}

fn walked_words(walked_on: Option<NaiveDate>, day: NaiveDate) -> String {
    match walked_on {
        None => "has never been walked".to_owned(),
        Some(walked_on) => format!("was last walked {} days ago", (day - walked_on).num_days()),
    }
}
