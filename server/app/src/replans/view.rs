//! A re-plan as the coordinator sees it: the difference, club by club, and its price.

use chrono::{DateTime, Utc};
use serde::Serialize;
use utoipa::ToSchema;

use super::difference::{Change, Neighbours, Place};
use super::picture::Picture;
use super::words::ChangeKind;
use crate::access::Member;
use crate::closures::OnClosedDays;
use crate::database::Tx;
use crate::error::Result;
use crate::hires::{self, RoundState};
use crate::ids::{ClubId, RequestId, RoundId};
use crate::machines::Span;
use crate::rounds::{self, Plan, PlanLevel, PlanState};

/// An agreed round, planned again.
#[derive(Debug, Serialize, ToSchema)]
pub struct Replan {
    /// The round.
    pub round_id: RoundId,
    /// As members see it.
    pub title: String,
    /// Where it stands.
    pub state: RoundState,
    /// Its places that lie on days on which their ground is closed, and have not begun.
    pub on_closed_days: Vec<PlaceThen>,
    /// The latest re-plan; null where none was asked for.
    pub plan: Option<Plan>,
    /// What the places it has now come to, level by level, in the order of the plan.
    pub stands: Vec<PlanLevel>,
    /// What changes, in one sentence; null until the plan is there.
    pub sentence: Option<String>,
    /// What the plan changes for each request; empty until it is there, and once it is in force.
    pub changes: Vec<ReplanChange>,
    /// The clubs that are mailed when it is accepted, by name.
    pub tells: Vec<String>,
}

/// What a re-plan changes for a request.
#[derive(Debug, Serialize, ToSchema)]
pub struct ReplanChange {
    /// The request.
    pub request_id: RequestId,
    /// Whose.
    pub club_id: ClubId,
    /// The club's name.
    pub club_name: String,
    /// The ground's name.
    pub ground_name: String,
    /// What happens.
    pub kind: ChangeKind,
    /// The place it has; null for none.
    pub from: Option<PlaceThen>,
    /// The place it would have; null for none.
    pub to: Option<PlaceThen>,
    /// Whether it keeps its place and the machine comes from or goes to somebody else.
    pub neighbours_change: bool,
    /// Why it goes without, where the planner says so.
    pub reason: Option<String>,
}

/// A place, and between whom it lies.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct PlaceThen {
    /// Whose.
    pub club_name: String,
    /// The ground's name.
    pub ground_name: String,
    /// The machine's name.
    pub machine_name: String,
    /// The half-days.
    pub span: Span,
    /// Who has the machine before; null at the start of its journey.
    pub comes_from: Option<String>,
    /// Who has it next; null at its end.
    pub goes_to: Option<String>,
}

/// A round and its latest re-plan. Scope: the network.
///
/// # Errors
/// `not_found`.
pub(super) async fn load(tx: &mut Tx, member: &Member, round: RoundId, now: DateTime<Utc>) -> Result<Replan> {
    let network = member.network_id;
    let (title, state) = hires::title_and_state(tx, network, round).await?;
    let (plan, stands) = rounds::latest_replan(tx, member, round, now).await?;
    let to_accept = plan.as_ref().filter(|plan| plan.state == PlanState::Ready);
    let given = to_accept.map(places).transpose()?;
    let picture = Picture::of(tx, network, round, given.as_deref().unwrap_or_default(), now).await?;
    let on_closed_days = picture.closed.iter().map(closed_place).collect();
    let shown = given.is_some();
    let sentence = match &plan {
        Some(plan) if plan.state == PlanState::Chosen => Some("This re-plan is in force.".to_owned()),
        _ => shown.then(|| picture.sentence()),
    };
    let tells = picture.clubs_to_tell().into_iter().map(|(name, _)| name.to_owned());
    Ok(Replan {
        round_id: round,
        title,
        state,
        on_closed_days,
        tells: if shown { tells.collect() } else { Vec::new() },
        changes: if shown { changes(&picture, plan.as_ref()) } else { Vec::new() },
        plan,
        stands,
        sentence,
    })
}

/// What a plan gives, as the difference reads it.
fn places(plan: &Plan) -> Result<Vec<Place>> {
    let place = |place: &rounds::PlannedPlace| {
        Ok(Place { request_id: place.request_id, machine_id: place.machine_id, span: place.span.parse()? })
    };
    plan.places.iter().map(place).collect()
}

fn closed_place(booking: &OnClosedDays) -> PlaceThen {
    PlaceThen {
        club_name: booking.club.clone(),
        ground_name: booking.ground.clone(),
        machine_name: booking.machine.clone(),
        span: booking.span.0.into(),
        comes_from: None,
        goes_to: None,
    }
}

fn changes(picture: &Picture, plan: Option<&Plan>) -> Vec<ReplanChange> {
    let reason = |request: RequestId| {
        let left_out = plan?.left_out.iter().find(|left| left.request_id == request)?;
        left_out.reason.clone()
    };
    let view = |change: &Change| {
        let asked = picture.asked(change.request_id)?;
        Some(ReplanChange {
            request_id: change.request_id,
            club_id: asked.club_id,
            club_name: asked.club_name.clone(),
            ground_name: asked.ground_name.clone(),
            kind: change.kind,
            from: change.before.and_then(|place| place_then(picture, place)),
            to: change.after.and_then(|place| place_then(picture, place)),
            neighbours_change: change.is_of_neighbours(),
            reason: if change.kind == ChangeKind::Lost { reason(change.request_id) } else { None },
        })
    };
    picture.changes.iter().filter_map(view).collect()
}

/// A place with its names.
pub(super) fn place_then(picture: &Picture, (place, around): (Place, Neighbours)) -> Option<PlaceThen> {
    let name = |request: Option<RequestId>| Some(picture.asked(request?)?.club_name.clone());
    let asked = picture.asked(place.request_id)?;
    Some(PlaceThen {
        club_name: asked.club_name.clone(),
        ground_name: asked.ground_name.clone(),
        machine_name: picture.machine(place.machine_id).to_owned(),
        span: place.span.into(),
        comes_from: name(around.comes_from),
        goes_to: name(around.goes_to),
    })
}
