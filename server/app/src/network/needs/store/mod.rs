//! What the page of needs looks at. These files read the tables of every slice, because the page is over
//! everything and belongs to none of them; asking each slice's front door would be ten answers for ten lines. It only
//! reads. All in the scope of the network.

mod rounds;

use std::collections::Bound;

use chrono::{DateTime, NaiveDate, NaiveDateTime, Utc};
use diesel::dsl::{exists, lower, max, not};
use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl};

use crate::access::Role;
use crate::error::Result;
use crate::ids::{BookingId, ClubId, NetworkId, OrderId, PitchId};
use crate::machines::StoredSpan;
use crate::schema::{
    bookings, clubs, handovers, invitations, jobs, machines, memberships, order_lines, pitches, pooled_orders,
    products, shares, swaps, waiting, walks,
};

pub(super) use rounds::{PlaceOnOffer, RoundOnOffer, closed_rounds, places, rounds_on_offer, rounds_that_gather};

/// A booking that begins, with whose and of what.
pub(super) struct Booked {
    pub(super) id: BookingId,
    pub(super) machine: String,
    pub(super) club: String,
    pub(super) from: NaiveDateTime,
    pub(super) until: NaiveDateTime,
}

/// Which bookings to look at.
pub(super) enum Bookings<'a> {
    /// Those that wait for an answer.
    Asked,
    /// These.
    Among(&'a [BookingId]),
    /// Those agreed, of these clubs, before this time, whose machine was not handed over yet.
    AgreedBefore(&'a [ClubId], NaiveDateTime),
    /// Those of these clubs whose machine was taken over and not given back, ended or not.
    TakenOver(&'a [ClubId]),
}

/// Handovers of a booking, one way.
#[diesel::dsl::auto_type]
fn handed<'a>(direction: &'a str) -> _ {
    handovers::table
        .filter(handovers::network_id.eq(bookings::network_id))
        .filter(handovers::booking_id.eq(bookings::id))
        .filter(handovers::direction.eq(direction))
}

/// Bookings that have not ended, unless said otherwise, in order of time.
pub(super) async fn bookings(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    which: Bookings<'_>,
    local_now: NaiveDateTime,
) -> Result<Vec<Booked>> {
    let time = match which {
        Bookings::Asked | Bookings::Among(_) => (Bound::Included(local_now), Bound::Unbounded),
        Bookings::AgreedBefore(_, before) => (Bound::Included(local_now), Bound::Excluded(before)),
        Bookings::TakenOver(_) => (Bound::Unbounded, Bound::Unbounded),
    };
    let mut query = bookings::table
        .inner_join(
            machines::table
                .on(machines::network_id.eq(bookings::network_id).and(machines::id.eq(bookings::machine_id))),
        )
        .inner_join(clubs::table.on(clubs::network_id.eq(bookings::network_id).and(clubs::id.eq(bookings::club_id))))
        .filter(bookings::network_id.eq(network))
        .filter(bookings::span.overlaps_with(time))
        .select((bookings::id, machines::name, clubs::name, bookings::span))
        .order((bookings::span, bookings::id))
        .into_boxed();
    query = match which {
        Bookings::Asked => query.filter(bookings::state.eq("asked")),
        Bookings::Among(ids) => query.filter(bookings::id.eq_any(ids)),
        Bookings::AgreedBefore(of_clubs, _) => query
            .filter(bookings::state.eq("agreed"))
            .filter(bookings::club_id.eq_any(of_clubs))
            .filter(not(exists(handed("out")))),
        Bookings::TakenOver(of_clubs) => query
            .filter(bookings::state.eq("agreed"))
            .filter(bookings::club_id.eq_any(of_clubs))
            .filter(exists(handed("out")))
            .filter(not(exists(handed("in")))),
    };
    type Row = (BookingId, String, String, (Bound<NaiveDateTime>, Bound<NaiveDateTime>));
    let rows: Vec<Row> = query.load(tx).await?;
    let bounded = rows.into_iter().filter_map(|(id, machine, club, span)| match span {
        (Bound::Included(from), Bound::Excluded(until)) => Some(Booked { id, machine, club, from, until }),
        _ => None, // the constraint on half-days leaves no other
    });
    Ok(bounded.collect())
}

/// Offers that hold for some clubs, with their ends, in order of time.
pub(super) async fn offers(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    of_clubs: &[ClubId],
    now: DateTime<Utc>,
) -> Result<Vec<(Booked, DateTime<Utc>)>> {
    let machine = machines::network_id.eq(waiting::network_id).and(machines::id.eq(waiting::machine_id));
    let club = clubs::network_id.eq(waiting::network_id).and(clubs::id.eq(waiting::club_id));
    let rows: Vec<(BookingId, String, String, StoredSpan, DateTime<Utc>)> = waiting::table
        .inner_join(machines::table.on(machine))
        .inner_join(clubs::table.on(club))
        .filter(waiting::network_id.eq(network))
        .filter(waiting::club_id.eq_any(of_clubs))
        .filter(waiting::state.eq("offered"))
        .filter(waiting::offered_until.gt(now))
        .select((
            waiting::booking_id.assume_not_null(),
            machines::name,
            clubs::name,
            waiting::span,
            waiting::offered_until.assume_not_null(),
        ))
        .order((waiting::offered_until, waiting::id))
        .load(tx)
        .await?;
    let booked = |(id, machine, club, span, held_until): (_, _, _, StoredSpan, _)| {
        (Booked { id, machine, club, from: span.0.from(), until: span.0.until() }, held_until)
    };
    Ok(rows.into_iter().map(booked).collect())
}

diesel::alias!(
    const GIVEN: Alias<Given> = bookings as given;
    const PROPOSER: Alias<Proposer> = clubs as proposer;
);

/// Swaps that wait for the answer of some clubs: who proposes, and which booking they would have.
pub(super) async fn swaps(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    of_clubs: &[ClubId],
    local_now: NaiveDateTime,
) -> Result<Vec<(String, Booked)>> {
    // A booking that has changed since or has begun has overtaken the proposal.
    let wanted = bookings::network_id
        .eq(swaps::network_id)
        .and(bookings::id.eq(swaps::wanted_booking_id).and(bookings::version.eq(swaps::wanted_version)));
    let given = GIVEN.field(bookings::network_id).eq(swaps::network_id).and(
        GIVEN
            .field(bookings::id)
            .eq(swaps::given_booking_id)
            .and(GIVEN.field(bookings::version).eq(swaps::given_version)),
    );
    let proposer =
        PROPOSER.field(clubs::network_id).eq(swaps::network_id).and(PROPOSER.field(clubs::id).eq(swaps::given_club_id));
    let club = clubs::network_id.eq(swaps::network_id).and(clubs::id.eq(swaps::wanted_club_id));
    let machine = machines::network_id.eq(bookings::network_id).and(machines::id.eq(bookings::machine_id));
    let rows: Vec<(String, BookingId, String, String, StoredSpan)> = swaps::table
        .inner_join(bookings::table.on(wanted))
        .inner_join(GIVEN.on(given))
        .inner_join(PROPOSER.on(proposer))
        .inner_join(clubs::table.on(club))
        .inner_join(machines::table.on(machine))
        .filter(swaps::network_id.eq(network))
        .filter(swaps::state.eq("proposed"))
        .filter(swaps::wanted_club_id.eq_any(of_clubs))
        .filter(lower(bookings::span).gt(local_now))
        .filter(lower(GIVEN.field(bookings::span)).gt(local_now))
        .select((PROPOSER.field(clubs::name), bookings::id, machines::name, clubs::name, bookings::span))
        .order(swaps::id)
        .load(tx)
        .await?;
    let booked = |(proposer, id, machine, club, span): (_, _, _, _, StoredSpan)| {
        (proposer, Booked { id, machine, club, from: span.0.from(), until: span.0.until() })
    };
    Ok(rows.into_iter().map(booked).collect())
}

/// Clubs with their names, by name.
pub(super) async fn club_names(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    ids: &[ClubId],
) -> Result<Vec<(ClubId, String)>> {
    Ok(clubs::table
        .filter(clubs::network_id.eq(network))
        .filter(clubs::id.eq_any(ids))
        .select((clubs::id, clubs::name))
        .order(clubs::name)
        .load(tx)
        .await?)
}

/// An order that gathers.
pub(super) struct Gathering<Id> {
    pub(super) id: Id,
    pub(super) title: String,
    pub(super) closes_at: DateTime<Utc>,
    /// Those of the clubs asked for that are in it.
    pub(super) joined: Vec<ClubId>,
}

/// Orders that gather, in order of closing.
pub(super) async fn gathering(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    of_clubs: &[ClubId],
    now: DateTime<Utc>,
) -> Result<Vec<Gathering<OrderId>>> {
    let orders: Vec<(OrderId, String, DateTime<Utc>)> = pooled_orders::table
        .filter(pooled_orders::network_id.eq(network))
        .filter(pooled_orders::state.eq("gathering"))
        .filter(pooled_orders::closes_at.gt(now))
        .select((pooled_orders::id, pooled_orders::title, pooled_orders::closes_at))
        .order((pooled_orders::closes_at, pooled_orders::id))
        .load(tx)
        .await?;
    let ids: Vec<_> = orders.iter().map(|&(id, ..)| id).collect();
    let lines: Vec<(OrderId, ClubId)> = order_lines::table
        .filter(order_lines::network_id.eq(network))
        .filter(order_lines::order_id.eq_any(ids))
        .filter(order_lines::club_id.eq_any(of_clubs))
        .select((order_lines::order_id, order_lines::club_id))
        .load(tx)
        .await?;
    let with_lines = orders.into_iter().map(|(id, title, closes_at)| {
        let joined = lines.iter().filter(|&&(order, _)| order == id).map(|&(_, club)| club).collect();
        Gathering { id, title, closes_at, joined }
    });
    Ok(with_lines.collect())
}

/// A pitch, its club and when it was walked last.
pub(super) type Unwalked = (PitchId, String, String, Option<NaiveDate>);

/// Pitches of some clubs that were not walked since a day, by club and name.
pub(super) async fn unwalked(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    of_clubs: &[ClubId],
    since: NaiveDate,
) -> Result<Vec<Unwalked>> {
    let walked = walks::table.filter(walks::network_id.eq(pitches::network_id)).filter(walks::pitch_id.eq(pitches::id));
    Ok(pitches::table
        .inner_join(clubs::table.on(clubs::network_id.eq(pitches::network_id).and(clubs::id.eq(pitches::club_id))))
        .filter(pitches::network_id.eq(network))
        .filter(pitches::club_id.eq_any(of_clubs))
        .filter(not(exists(walked.filter(walks::walked_on.ge(since)))))
        .select((pitches::id, pitches::name, clubs::name, walked.select(max(walks::walked_on)).single_value()))
        .order((clubs::name, pitches::name, pitches::id))
        .load(tx)
        .await?)
}

/// A club, an order and the club's goods and VAT in it, pence.
pub(super) type Owed = (String, String, i64, i64);

/// What some clubs owe for orders that are not settled, oldest first.
pub(super) async fn owed(tx: &mut AsyncPgConnection, network: NetworkId, of_clubs: &[ClubId]) -> Result<Vec<Owed>> {
    Ok(shares::table
        .inner_join(
            pooled_orders::table
                .on(pooled_orders::network_id.eq(shares::network_id).and(pooled_orders::id.eq(shares::order_id))),
        )
        .inner_join(clubs::table.on(clubs::network_id.eq(shares::network_id).and(clubs::id.eq(shares::club_id))))
        .filter(shares::network_id.eq(network))
        .filter(shares::club_id.eq_any(of_clubs))
        .filter(pooled_orders::state.eq_any(["closed", "placed", "delivered"]))
        .select((clubs::name, pooled_orders::title, shares::goods_pence, shares::vat_pence))
        .order((shares::entered_at, shares::order_id))
        .load(tx)
        .await?)
}

/// Clubs, of some or of all, where nobody holds a role and nobody was asked to, by name.
pub(super) async fn clubs_without(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    of_clubs: Option<&[ClubId]>,
    role: Role,
    now: DateTime<Utc>,
) -> Result<Vec<(ClubId, String)>> {
    let held = memberships::table
        .filter(memberships::network_id.eq(clubs::network_id))
        .filter(memberships::club_id.eq(clubs::id.nullable()))
        .filter(memberships::role.eq(role.as_str()));
    let asked = invitations::table
        .filter(invitations::network_id.eq(clubs::network_id))
        .filter(invitations::club_id.eq(clubs::id.nullable()))
        .filter(invitations::role.eq(role.as_str()))
        .filter(invitations::withdrawn_at.is_null())
        .filter(invitations::expires_at.gt(now));
    let mut query = clubs::table
        .filter(clubs::network_id.eq(network))
        .filter(not(exists(held)))
        .filter(not(exists(asked)))
        .select((clubs::id, clubs::name))
        .order(clubs::name)
        .into_boxed();
    if let Some(of_clubs) = of_clubs {
        query = query.filter(clubs::id.eq_any(of_clubs.to_vec()));
    }
    Ok(query.load(tx).await?)
}

/// Clubs of some that have no pitch yet, by name.
pub(super) async fn clubs_without_pitch(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    of_clubs: &[ClubId],
) -> Result<Vec<(ClubId, String)>> {
    let own = pitches::table.filter(pitches::network_id.eq(clubs::network_id)).filter(pitches::club_id.eq(clubs::id));
    Ok(clubs::table
        .filter(clubs::network_id.eq(network))
        .filter(clubs::id.eq_any(of_clubs))
        .filter(not(exists(own)))
        .select((clubs::id, clubs::name))
        .order(clubs::name)
        .load(tx)
        .await?)
}

/// The orders that have closed and are not placed, first closed first.
pub(super) async fn closed_orders(tx: &mut AsyncPgConnection, network: NetworkId) -> Result<Vec<(OrderId, String)>> {
    Ok(pooled_orders::table
        .filter(pooled_orders::network_id.eq(network))
        .filter(pooled_orders::state.eq("closed"))
        .select((pooled_orders::id, pooled_orders::title))
        .order((pooled_orders::closed_at, pooled_orders::id))
        .load(tx)
        .await?)
}

/// How many mails were given up since an instant.
pub(super) async fn parked_mails(tx: &mut AsyncPgConnection, network: NetworkId, since: DateTime<Utc>) -> Result<i64> {
    Ok(jobs::table
        .filter(jobs::network_id.eq(network))
        .filter(jobs::kind.eq("send_mail"))
        .filter(jobs::state.eq("parked"))
        .filter(jobs::finished_at.ge(since))
        .count()
        .get_result(tx)
        .await?)
}

/// What a network has any of.
#[derive(Queryable)]
pub(super) struct Beginnings {
    pub(super) clubs: bool,
    pub(super) machines: bool,
    pub(super) products: bool,
    pub(super) orders: bool,
}

/// What the network has begun with.
pub(super) async fn beginnings(tx: &mut AsyncPgConnection, network: NetworkId) -> Result<Beginnings> {
    Ok(diesel::select((
        exists(clubs::table.filter(clubs::network_id.eq(network))),
        exists(machines::table.filter(machines::network_id.eq(network))),
        exists(products::table.filter(products::network_id.eq(network))),
        exists(pooled_orders::table.filter(pooled_orders::network_id.eq(network))),
    ))
    .get_result(tx)
    .await?)
}
