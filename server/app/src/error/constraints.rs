//! The one place where names of database constraints become words for people.
//!
//! The database decides; this says what it decided. A constraint that a caller can break through the API stands
//! here; any other is a fault of ours and becomes an internal error.

use super::{Code, Refused, invalid, refuse};

/// The refusal for a broken constraint, if a caller can have caused it.
pub(super) fn refusal(constraint: &str) -> Option<Refused> {
    Some(match constraint {
        "bookings_no_overlap" => {
            refuse(Code::MachineTaken, "Another booking, or the handover after it, holds the machine then.")
        }
        "bookings_machine_serves" => {
            refuse(Code::MachineOutOfService, "It has a fault that takes it out of service until that is cleared.")
        }
        "handovers_once" | "handovers_countered_once" => refuse(
            Code::HandoverSigned,
            "Somebody signed it first. Look at what they entered, and correct that if need be.",
        ),
        "handovers_meter_not_back" => {
            refuse(Code::MeterRunsBack, "Read it again, or say why it stands lower.").field("meter_h")
        }
        "handovers_booking" => refuse(Code::InUse, "A handover was signed for it: it stays with its machine."),
        "handovers_counters" => invalid("counters", "There is no such handover of this booking."),
        "fault_clearings_pkey" => refuse(Code::FaultCleared, "Somebody cleared it first."),
        "attachments_club" | "trainings_club" => invalid("club_id", "There is no such club in this network."),
        "fault_photos_attachment" => invalid("faults", "A photo is not there any more: send it again."),
        "machine_manuals_attachment" => invalid("attachment_id", "The file is not there any more: send it again."),
        "machine_manuals_pkey" => invalid("attachment_id", "It is a manual of this machine already."),
        "service_plans_every" => invalid("every_hours", "Say after how many hours, or after how many months."),
        "service_plans_every_hours" => invalid("every_hours", "A service comes every 1 to 10,000 hours."),
        "service_plans_every_months" => invalid("every_months", "A service comes every 1 to 120 months."),
        "trainings_machine" => invalid("machine_id", "There is no such machine in this network."),
        "trainings_of_one" => invalid("machine_id", "Choose a machine or a kind of machine, not both."),
        "trainings_until" => invalid("until_on", "It cannot run out before it begins."),
        "bookings_within_availability" | "bookings_availability" => {
            refuse(Code::OutsideAvailability, "The machine is not available for the whole of that time.")
        }
        "waiting_once" => refuse(Code::AlreadyWaiting, "Your club is on the list for that time already."),
        "swaps_once" => refuse(Code::SwapProposed, "It waits for the other club's answer."),
        "swaps_two_clubs" => invalid("want_booking_id", "Both bookings are of the same club; move them instead."),
        "machine_availabilities_no_overlap" => {
            refuse(Code::AvailabilityOverlaps, "It overlaps a time in which the machine is already available.")
        }
        "bookings_half_days"
        | "machine_availabilities_half_days"
        | "waiting_half_days"
        | "standing_bookings_half_days" => refuse(Code::NotHalfDays, "Times begin and end at 00:00 or 12:00."),
        "clubs_name_once"
        | "grounds_name_once"
        | "pitches_name_once"
        | "suppliers_name_once"
        | "products_name_once"
        | "machines_name_once" => {
            refuse(Code::NameTaken, "Another one has that name; choose a different name.").field("name")
        }
        "people_email_once" => refuse(Code::NameTaken, "That address already has an account.").field("email"),
        "memberships_once" => refuse(Code::AlreadyMember, "The person already has this role there."),
        "round_requests_gathering" => {
            refuse(Code::RoundNotGathering, "The round's requests have closed; they can no longer be changed.")
        }
        "round_requests_one_a_ground" => {
            refuse(Code::AlreadyAsked, "This ground has a request in the round; change that one.").field("ground_id")
        }
        "round_machines_pkey" => refuse(Code::AlreadyInRound, "The machine is in this round already."),
        "round_machines_machine" => invalid("machine_id", "There is no such machine in this network."),
        "round_machines_kept_at" => invalid("kept_ground_id", "There is no such ground in this network."),
        "bookings_ask_for_place" => {
            refuse(Code::AskForPlace, "The machine is hired for a round then. Ask for a place in the round.")
        }
        "round_offers_no_overlap" | "round_offers_one_a_request" => {
            refuse(Code::PlacesTaken, "A place of this plan is offered to somebody already.")
        }
        "bookings_one_a_request" => refuse(Code::PlacesTaken, "That request has its booking already."),
        "round_crews_few" => invalid("crews", "A club has 0 to 20 tractors with operators."),
        "roads_length" | "depot_roads_length" => invalid("road_hm", "A road is 0 to 2,000 km long."),
        "round_requests_ground" => invalid("ground_id", "Choose a ground of the club."),
        "round_requests_helper" => invalid("helper_club_id", "There is no such club in this network."),
        "round_requests_depth" => invalid("depth_mm", "The depth is 1 to 1,000 mm."),
        "rounds_hm_per_point" => invalid("hm_per_point", "A wish point is worth 0.1 to 1,000 km."),
        "rounds_guarantee" => {
            invalid("guarantee_after", "A club is served first after 1 to 10 times left out; 0 is never.")
        }
        "hires_availability" => {
            refuse(Code::AvailabilityInUse, "The machine is on hire then; it goes when the round is called off.")
        }
        "hires_supplier" => invalid("supplier_id", "There is no such supplier in this network."),
        "hires_charges" => invalid("per_week_pence", "A charge is nothing or more, and at most a million pounds."),
        "hires_charged" => invalid("per_week_pence", "Say at least one charge: per week, day, half-day or hectare."),
        "hires_depot_position" => {
            invalid("depot_latitude_deg", "Latitude is -90 to 90 degrees, longitude -180 to 180.")
        }
        "ground_closures_no_overlap" => refuse(
            Code::GroundClosed,
            "Somebody closed it for a part of that time. Open it again first, or choose other days.",
        ),
        "ground_closures_length" => invalid("span.until", "A ground is closed for 120 days at most."),
        "order_lines_gathering" => {
            refuse(Code::OrderNotGathering, "The order has closed; its lines can no longer be changed.")
        }
        "order_lines_whole_packs" => {
            refuse(Code::NotWholePacks, "The quantity must be whole packs.").field("quantity_kg")
        }
        "order_lines_quantity" => {
            refuse(Code::QuantityAbsurd, "A line is more than nothing and at most 3,000 t.").field("quantity_kg")
        }
        "hire_statements_first_once" | "hire_statements_countered_once" => {
            refuse(Code::StatementStands, "Another statement was entered first; look at it before you replace it.")
        }
        "hire_settlements_standing" => refuse(Code::StatementStands, "Another statement took the place of this one."),
        "hire_settlements_pkey" | "hire_statements_unsettled" => {
            refuse(Code::StatementSettled, "It is settled as it was entered.")
        }
        "hire_settlements_immutable" | "hire_statements_immutable" | "hire_shares_immutable" => {
            refuse(Code::NeverEdited, "It stands as entered.")
        }
        "scheme_criteria_weight" => invalid("criteria", "A weight is more than 0 and at most 1,000."),
        "schemes_version_once" => refuse(Code::ChangedMeanwhile, "Another coordinator changed the scheme first."),
        "shares_immutable"
        | "walks_immutable"
        | "turns_immutable"
        | "turns_countered_once"
        | "ground_closures_immutable"
        | "turns_once"
        | "handovers_immutable"
        | "faults_immutable"
        | "readings_immutable"
        | "schemes_immutable" => refuse(Code::NeverEdited, "It stands as entered."),
        "memberships_club"
        | "invitations_club"
        | "grounds_club"
        | "bookings_club"
        | "waiting_club"
        | "standing_bookings_club"
        | "order_lines_club"
        | "calendar_feeds_club" => invalid("club_id", "There is no such club in this network."),
        "machines_owner" => invalid("owner_club_id", "There is no such club in this network."),
        "machine_clubs_club" => invalid("named_club_ids", "There is no such club in this network."),
        "machines_width" => invalid("width_m", "The working width is above 0 and at most 20 m."),
        "machines_speed" => invalid("speed_km_h", "The working speed is above 0 and at most 40 km/h."),
        "machines_efficiency" => invalid("field_efficiency", "The field efficiency is above 0 and at most 1."),
        "machines_depth" => invalid("max_depth_mm", "The depth is 1 to 1,000 mm."),
        "machines_tine_spacing" => invalid("tine_spacing_across_mm", "Tines stand 1 to 2,000 mm apart."),
        "machines_tines_both" => invalid("tine_spacing_forward_mm", "Give both spacings of the tines, or neither."),
        "machines_tractor" => invalid("tractor_kw", "The tractor's power is above 0 and below 1,000 kW."),
        "machines_transport" => invalid("transport_kg", "The mass on the road is 1 to 20,000 kg."),
        "machines_charges" => invalid("charge_per_day_pence", "A charge is nothing to £1,000,000."),
        "machines_lengths" => {
            invalid("longest_half_days", "A booking is 1 to 60 half-days, the longest no shorter than the shortest.")
        }
        "machines_gap" => invalid("gap_half_days", "The handover takes 0 to 14 half-days."),
        "machines_owner_only" => invalid("who_may_book", "Only a machine that a club owns can be kept to its owner."),
        "bookings_machine"
        | "waiting_machine"
        | "standing_bookings_machine"
        | "machine_availabilities_machine"
        | "calendar_feeds_machine" => invalid("machine_id", "There is no such machine in this network."),
        "booking_pitches_pitch" | "waiting_pitches_pitch" => {
            invalid("pitch_ids", "Choose pitches of the booking's own club.")
        }
        "walks_pitch" => invalid("pitch_id", "There is no such pitch."),
        "pooled_orders_product" => invalid("product_id", "There is no such product in this network."),
        "pooled_orders_supplier" => invalid("supplier_id", "There is no such supplier in this network."),
        "grounds_position" => invalid("latitude_deg", "Latitude is −90 to 90, longitude −180 to 180."),
        "pitches_size" => invalid("length_m", "A pitch is 10 to 300 m long and wide."),
        "pitches_area" => invalid("area_m2", "A pitch is 100 to 90,000 m²."),
        _ => return None,
    })
}
