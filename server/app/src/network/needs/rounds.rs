//! What needs somebody about rounds: clubs ask and answer, the coordinator plans and books.

use chrono::{DateTime, Utc};

use super::store::{self, Gathering, PlaceOnOffer, RoundOnOffer};
use super::{Need, NeedKind, clubs_of, who_may};
use crate::access::{Act, Member};
use crate::database::Tx;
use crate::error::Result;
use crate::time::span_words;

/// Rounds in which a club could still ask for a place, and places offered to it.
pub(super) async fn of_clubs(tx: &mut Tx, member: &Member, now: DateTime<Utc>) -> Result<Vec<Need>> {
    let may_ask = clubs_of(member, who_may(Act::AskForPlace));
    let clubs = store::club_names(tx, member.network_id, &may_ask).await?;
    let mut needs = Vec::new();
    for Gathering { id, title, closes_at, joined } in
        store::rounds_that_gather(tx, member.network_id, &may_ask, now).await?
    {
        for (_, name) in clubs.iter().filter(|(club, _)| !joined.contains(club)) {
            let sentence = format!("“{title}” takes requests: {name} has not asked for a place.");
            let href = format!("/rounds/{id}/request");
            needs.push(Need::of(NeedKind::RoundWithoutUs, sentence, href).due(closes_at));
        }
    }
    needs.extend(to_answer(tx, member, now).await?);
    Ok(needs)
}

async fn to_answer(tx: &mut Tx, member: &Member, now: DateTime<Utc>) -> Result<Vec<Need>> {
    let answers_for = clubs_of(member, who_may(Act::AnswerOffer));
    let places = store::places(tx, member.network_id, &answers_for, now).await?;
    let need = |PlaceOnOffer { round, machine, club, from, until, answer_by }| {
        let sentence = format!("{club} is offered {machine}: {}. Accept or decline.", span_words(from, until));
        Need::of(NeedKind::PlaceToAnswer, sentence, format!("/rounds/{round}/offers")).due(answer_by)
    };
    Ok(places.into_iter().map(need).collect())
}

/// Rounds that a coordinator can carry on.
pub(super) async fn of_coordinator(tx: &mut Tx, member: &Member) -> Result<Vec<Need>> {
    let on_offer = store::rounds_on_offer(tx, member.network_id).await?;
    let mut needs: Vec<_> = on_offer.into_iter().filter_map(of_round_on_offer).collect();
    for (id, title, asked) in store::closed_rounds(tx, member.network_id).await? {
        let sentence = match asked {
            0 => format!("“{title}”: requests have closed, and nobody asked. Call it off."),
            _ => format!("“{title}”: requests have closed. Plan the round."),
        };
        needs.push(Need::of(NeedKind::RoundToPlan, sentence, format!("/rounds/{id}")));
    }
    Ok(needs)
}

/// What a coordinator is told of a round on offer: nothing while its answers come in.
fn of_round_on_offer(round: RoundOnOffer) -> Option<Need> {
    let RoundOnOffer { id, title, outstanding, answered, answer_by } = round;
    let (kind, sentence) = match (outstanding, answered) {
        (0, _) => {
            (NeedKind::RoundToAgree, format!("All clubs have answered in “{title}”: see whether it can be booked."))
        }
        (_, 0) => (NeedKind::RoundUnanswered, format!("“{title}” is on offer, and no club has answered yet.")),
        _ => return None,
    };
    let need = Need::of(kind, sentence, format!("/rounds/{id}/offers"));
    Some(match answer_by {
        Some(at) if outstanding > 0 => need.due(at),
        _ => need,
    })
}
