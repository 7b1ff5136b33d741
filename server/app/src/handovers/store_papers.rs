//! Queries on manuals and trainings. Scope of all: the network.

use chrono::{DateTime, NaiveDate, Utc};
use diesel::prelude::*;
use diesel_async::{AsyncPgConnection, RunQueryDsl};

use super::papers::{CreateTraining, Training};
use crate::access::Member;
use crate::error::Result;
use crate::ids::{AttachmentId, ClubId, MachineId, NetworkId, TrainingId};
use crate::machines::MachineKind;
use crate::schema::{clubs, machine_manuals, training_rules, trainings};

pub(super) async fn add_manual(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    machine: MachineId,
    file: AttachmentId,
    title: &str,
) -> Result<()> {
    diesel::insert_into(machine_manuals::table)
        .values((
            machine_manuals::network_id.eq(network),
            machine_manuals::machine_id.eq(machine),
            machine_manuals::attachment_id.eq(file),
            machine_manuals::title.eq(title),
        ))
        .execute(tx)
        .await?;
    Ok(())
}

pub(super) async fn remove_manual(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    machine: MachineId,
    file: AttachmentId,
) -> Result<()> {
    match diesel::delete(machine_manuals::table.find((network, machine, file))).execute(tx).await? {
        0 => Err(diesel::result::Error::NotFound.into()),
        _ => Ok(()),
    }
}

/// The files that are manuals of a machine, with their titles, by title.
pub(super) async fn manuals_of(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    machine: MachineId,
) -> Result<Vec<(AttachmentId, String)>> {
    Ok(machine_manuals::table
        .filter(machine_manuals::network_id.eq(network))
        .filter(machine_manuals::machine_id.eq(machine))
        .select((machine_manuals::attachment_id, machine_manuals::title))
        .order((machine_manuals::title, machine_manuals::attachment_id))
        .load(tx)
        .await?)
}

pub(super) async fn insert_training(
    tx: &mut AsyncPgConnection,
    member: &Member,
    wish: &CreateTraining,
    now: DateTime<Utc>,
) -> Result<TrainingId> {
    let id = TrainingId::new();
    diesel::insert_into(trainings::table)
        .values((
            trainings::network_id.eq(member.network_id),
            trainings::id.eq(id),
            trainings::club_id.eq(wish.club_id),
            trainings::person_name.eq(&wish.person_name),
            trainings::machine_id.eq(wish.machine_id),
            trainings::machine_kind.eq(wish.machine_kind),
            trainings::trained_on.eq(wish.trained_on),
            trainings::until_on.eq(wish.until_on),
            trainings::note.eq(&wish.note),
            trainings::noted_by.eq(member.person_id),
            trainings::noted_at.eq(now),
        ))
        .execute(tx)
        .await?;
    Ok(id)
}

pub(super) async fn withdraw_training(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    id: TrainingId,
    now: DateTime<Utc>,
) -> Result<()> {
    let withdrawn = diesel::update(trainings::table.find((network, id)))
        .filter(trainings::withdrawn_at.is_null())
        .set(trainings::withdrawn_at.eq(now))
        .execute(tx)
        .await?;
    if withdrawn == 1 { Ok(()) } else { Err(diesel::result::Error::NotFound.into()) }
}

/// Which trainings are wanted.
#[derive(Clone, Copy)]
pub(super) enum Of {
    /// This one.
    Id(TrainingId),
    /// Those on a machine, or on its kind.
    Machine(MachineId, MachineKind),
}

type Row = (
    (TrainingId, ClubId, String, String, Option<MachineId>, Option<MachineKind>),
    (NaiveDate, Option<NaiveDate>, String),
);

/// Trainings that were not withdrawn, by club and name.
pub(super) async fn trainings(tx: &mut AsyncPgConnection, network: NetworkId, of: Of) -> Result<Vec<Training>> {
    let club = clubs::network_id.eq(trainings::network_id).and(clubs::id.eq(trainings::club_id));
    let mut query = trainings::table
        .inner_join(clubs::table.on(club))
        .filter(trainings::network_id.eq(network))
        .filter(trainings::withdrawn_at.is_null())
        .order((clubs::name, trainings::person_name, trainings::id))
        .select((
            (
                trainings::id,
                trainings::club_id,
                clubs::name,
                trainings::person_name,
                trainings::machine_id,
                trainings::machine_kind,
            ),
            (trainings::trained_on, trainings::until_on, trainings::note),
        ))
        .into_boxed();
    query = match of {
        Of::Id(id) => query.filter(trainings::id.eq(id)),
        Of::Machine(machine, kind) => {
            query.filter(trainings::machine_id.eq(machine).or(trainings::machine_kind.eq(kind)))
        }
    };
    let rows: Vec<Row> = query.load(tx).await?;
    Ok(rows.into_iter().map(training).collect())
}

fn training((who, when): Row) -> Training {
    let (training_id, club_id, club_name, person_name, machine_id, machine_kind) = who;
    let (trained_on, until_on, note) = when;
    Training { training_id, club_id, club_name, person_name, machine_id, machine_kind, trained_on, until_on, note }
}

pub(super) async fn set_rule(
    tx: &mut AsyncPgConnection,
    network: NetworkId,
    machine: MachineId,
    warns: bool,
) -> Result<()> {
    diesel::insert_into(training_rules::table)
        .values((
            training_rules::network_id.eq(network),
            training_rules::machine_id.eq(machine),
            training_rules::warns.eq(warns),
        ))
        .on_conflict((training_rules::network_id, training_rules::machine_id))
        .do_update()
        .set(training_rules::warns.eq(warns))
        .execute(tx)
        .await?;
    Ok(())
}

/// Whether bookings of a machine are warned about.
pub(super) async fn warns(tx: &mut AsyncPgConnection, network: NetworkId, machine: MachineId) -> Result<bool> {
    let rule = training_rules::table.find((network, machine)).select(training_rules::warns);
    Ok(rule.first(tx).await.optional()?.unwrap_or(false))
}
