//! Who may do what: the role matrix. It stands here and nowhere else; `tests` below reads it row by row.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::error::{Code, Refused, refuse};
use crate::ids::{ClubId, NetworkId, PersonId};

/// A role in a network or club.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Role {
    /// Runs the network.
    Coordinator,
    /// Runs a club's grounds.
    GroundsLead,
    /// Keeps a club's money.
    Treasurer,
    /// Helps on a club's grounds.
    Volunteer,
}

impl Role {
    /// All roles.
    pub const ALL: [Self; 4] = [Self::Coordinator, Self::GroundsLead, Self::Treasurer, Self::Volunteer];

    /// As stored.
    #[must_use]
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Coordinator => "coordinator",
            Self::GroundsLead => "grounds_lead",
            Self::Treasurer => "treasurer",
            Self::Volunteer => "volunteer",
        }
    }

    /// From the stored form.
    #[must_use]
    pub fn parse(text: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|role| role.as_str() == text)
    }

    /// For a sentence.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Coordinator => "coordinator",
            Self::GroundsLead => "grounds lead",
            Self::Treasurer => "treasurer",
            Self::Volunteer => "volunteer",
        }
    }
}

/// Something a role may or may not do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Act {
    /// See the network: clubs, machines, the board, open orders.
    SeeNetwork,
    /// Add clubs and import places.
    AddClub,
    /// Change a club, its grounds and pitches.
    EditClub,
    /// Close a ground of a club for some days, and open it again.
    CloseGround,
    /// See the people of a club.
    SeePeople,
    /// Invite to a club, withdraw an invitation, end a membership.
    ManagePeople,
    /// Make someone a coordinator, or end that.
    ManageCoordinators,
    /// Keep suppliers and products.
    EditSuppliers,
    /// Add machines, change machines of the network; a grounds lead those of the own club.
    EditMachine,
    /// Book, move and cancel for a club.
    Book,
    /// Propose that bookings change places, and answer such a proposal: for the own club only, since both must want it.
    Swap,
    /// Sign a handover for a club, and tell of a fault.
    HandOver,
    /// Note who was shown how to work a machine.
    NoteTraining,
    /// Agree to or refuse a booking that was asked for.
    AnswerBooking,
    /// See and replace the secret address of a club's or machine's calendar.
    ManageCalendar,
    /// Open a round, add its hires and machines, call it off.
    RunRound,
    /// Ask for a club's place in a round, change or take back the request.
    AskForPlace,
    /// Accept or decline a place of a round.
    AnswerOffer,
    /// See the places offered to a club, and what they are expected to cost.
    SeeOffer,
    /// Open an order, change it, take it through its steps.
    RunOrder,
    /// Add, change or take back a club's line.
    ChangeLine,
    /// Enter what a hire came to and who pays what of it.
    EnterHireShares,
    /// See what a club owes.
    SeeShares,
    /// Walk a club's pitch.
    Walk,
    /// See a club's walks and comparisons.
    SeeWalks,
    /// Change the scoring scheme.
    EditScheme,
    /// See the mail the network sent.
    SeeMail,
}

/// How far a role may do an act.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reach {
    /// Not at all.
    Nowhere,
    /// For the club the role is held in.
    OwnClub,
    /// In the whole network.
    Network,
}

/// The matrix.
#[must_use]
#[rustfmt::skip] // a table
pub fn reach(role: Role, act: Act) -> Reach {
    use Reach::{Network, Nowhere, OwnClub};
    let [coordinator, grounds_lead, treasurer, volunteer] = match act {
        //                                             coordinator grounds lead treasurer volunteer
        Act::SeeNetwork =>                             [Network,   Network,     Network,  Network],
        Act::AddClub =>                                [Network,   Nowhere,     Nowhere,  Nowhere],
        Act::EditClub =>                               [Network,   OwnClub,     Nowhere,  Nowhere],
        Act::CloseGround =>                            [Network,   OwnClub,     Nowhere,  Nowhere],
        Act::SeePeople =>                              [Network,   OwnClub,     OwnClub,  Nowhere],
        Act::ManagePeople =>                           [Network,   OwnClub,     Nowhere,  Nowhere],
        Act::ManageCoordinators =>                     [Network,   Nowhere,     Nowhere,  Nowhere],
        Act::EditSuppliers =>                          [Network,   Nowhere,     Nowhere,  Nowhere],
        Act::EditMachine =>                            [Network,   OwnClub,     Nowhere,  Nowhere],
        Act::Book =>                                   [Network,   OwnClub,     Nowhere,  Nowhere],
        Act::Swap =>                                   [Nowhere,   OwnClub,     Nowhere,  Nowhere],
        Act::HandOver =>                               [Network,   OwnClub,     Nowhere,  OwnClub],
        Act::NoteTraining =>                           [Network,   Nowhere,     Nowhere,  Nowhere],
        Act::AnswerBooking =>                          [Network,   Nowhere,     Nowhere,  Nowhere],
        Act::ManageCalendar =>                         [Network,   OwnClub,     Nowhere,  Nowhere],
        Act::RunRound =>                               [Network,   Nowhere,     Nowhere,  Nowhere],
        Act::AskForPlace =>                            [Network,   OwnClub,     Nowhere,  Nowhere],
        Act::AnswerOffer =>                            [Network,   OwnClub,     Nowhere,  Nowhere],
        Act::SeeOffer =>                               [Network,   OwnClub,     OwnClub,  Nowhere],
        Act::RunOrder =>                               [Network,   Nowhere,     Nowhere,  Nowhere],
        Act::ChangeLine =>                             [Network,   OwnClub,     Nowhere,  Nowhere],
        Act::EnterHireShares =>                        [Network,   Nowhere,     Nowhere,  Nowhere],
        Act::SeeShares =>                              [Network,   OwnClub,     OwnClub,  Nowhere],
        Act::Walk =>                                   [Network,   OwnClub,     Nowhere,  OwnClub],
        Act::SeeWalks =>                               [Network,   OwnClub,     OwnClub,  OwnClub],
        Act::EditScheme =>                             [Network,   Nowhere,     Nowhere,  Nowhere],
        Act::SeeMail =>                                [Network,   Nowhere,     Nowhere,  Nowhere],
    };
    match role {
        Role::Coordinator => coordinator,
        Role::GroundsLead => grounds_lead,
        Role::Treasurer => treasurer,
        Role::Volunteer => volunteer,
    }
}

/// A signed-in person in a network, with the roles held there.
#[derive(Debug, Clone)]
pub struct Member {
    /// The network entered.
    pub network_id: NetworkId,
    /// Who.
    pub person_id: PersonId,
    /// Each role with its club; a coordinator's has none.
    pub roles: Vec<(Role, Option<ClubId>)>,
}

impl Member {
    /// Whether an act is allowed, for a club or (none given) for the network itself.
    #[must_use]
    pub fn may(&self, act: Act, club: Option<ClubId>) -> bool {
        self.roles.iter().any(|&(role, held_in)| match reach(role, act) {
            Reach::Nowhere => false,
            Reach::OwnClub => club.is_some() && club == held_in,
            Reach::Network => true,
        })
    }

    /// Refuses what the matrix does not allow.
    ///
    /// # Errors
    /// `not_your_role`.
    pub fn require(&self, act: Act, club: Option<ClubId>) -> Result<(), Refused> {
        if self.may(act, club) {
            return Ok(());
        }
        Err(refuse(Code::NotYourRole, "Ask your coordinator or grounds lead to do it, or to give you the role."))
    }

    /// The clubs for which the act is allowed: `None` means all clubs of the network.
    #[must_use]
    pub fn clubs_for(&self, act: Act) -> Option<Vec<ClubId>> {
        if self.may(act, None) {
            return None;
        }
        let clubs = self.roles.iter().filter(|&&(role, _)| reach(role, act) == Reach::OwnClub);
        Some(clubs.filter_map(|&(_, club)| club).collect())
    }

    /// Whether the person belongs to the club, in any role.
    #[must_use]
    pub fn belongs_to(&self, club: ClubId) -> bool {
        self.roles.iter().any(|&(_, held_in)| held_in == Some(club))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const OWN: ClubId = ClubId(uuid::Uuid::from_u128(1));
    const OTHER: ClubId = ClubId(uuid::Uuid::from_u128(2));

    /// Written out a second time on purpose, from the design's list of people: c = coordinator, g = grounds lead,
    /// t = treasurer, v = volunteer; capital = in the whole network, small = in the own club.
    const EXPECTED: [(Act, &str); 27] = [
        (Act::SeeNetwork, "CGTV"),
        (Act::AddClub, "C"),
        (Act::EditClub, "Cg"),
        (Act::CloseGround, "Cg"),
        (Act::SeePeople, "Cgt"),
        (Act::ManagePeople, "Cg"),
        (Act::ManageCoordinators, "C"),
        (Act::EditSuppliers, "C"),
        (Act::EditMachine, "Cg"),
        (Act::Book, "Cg"),
        (Act::Swap, "g"),
        (Act::HandOver, "Cgv"),
        (Act::NoteTraining, "C"),
        (Act::AnswerBooking, "C"),
        (Act::ManageCalendar, "Cg"),
        (Act::RunRound, "C"),
        (Act::AskForPlace, "Cg"),
        (Act::AnswerOffer, "Cg"),
        (Act::SeeOffer, "Cgt"),
        (Act::RunOrder, "C"),
        (Act::ChangeLine, "Cg"),
        (Act::EnterHireShares, "C"),
        (Act::SeeShares, "Cgt"),
        (Act::Walk, "Cgv"),
        (Act::SeeWalks, "Cgtv"),
        (Act::EditScheme, "C"),
        (Act::SeeMail, "C"),
    ];

    fn member(role: Role) -> Member {
        let club = (role != Role::Coordinator).then_some(OWN);
        Member {
            network_id: NetworkId(uuid::Uuid::nil()),
            person_id: PersonId(uuid::Uuid::nil()),
            roles: vec![(role, club)],
        }
    }

    #[test]
    fn every_row_of_the_matrix_is_as_agreed() {
        for (act, who) in EXPECTED {
            for (role, letter) in Role::ALL.into_iter().zip(["c", "g", "t", "v"]) {
                let network = who.contains(&letter.to_uppercase());
                let own = network || who.contains(letter);
                let member = member(role);
                assert_eq!(member.may(act, Some(OWN)), own, "{role:?} {act:?} own club");
                assert_eq!(member.may(act, Some(OTHER)), network, "{role:?} {act:?} other club");
                assert_eq!(member.may(act, None), network, "{role:?} {act:?} network");
            }
        }
    }

    #[test]
    fn one_person_may_hold_roles_in_several_clubs() {
        let mut both = member(Role::Treasurer);
        both.roles.push((Role::GroundsLead, Some(OTHER)));
        assert!(both.may(Act::Book, Some(OTHER)));
        assert!(!both.may(Act::Book, Some(OWN)));
        assert!(both.may(Act::SeeShares, Some(OWN)) && both.may(Act::SeeShares, Some(OTHER)));
    }
}
