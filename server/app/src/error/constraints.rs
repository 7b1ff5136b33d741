//! The one place where names of database constraints become words for people.
//!
//! The database decides; this says what it decided. A constraint that a caller can break through the API stands
//! here; any other is a fault of ours and becomes an internal error.

use super::{Code, Refused, invalid, refuse};

/// The refusal for a broken constraint, if a caller can have caused it.
pub(super) fn refusal(constraint: &str) -> Option<Refused> {
    Some(match constraint {
        "bookings_no_overlap" => refuse(Code::MachineTaken, "Another club holds the machine then."),
        "bookings_within_availability" | "bookings_availability" => {
            refuse(Code::OutsideAvailability, "The machine is not available for the whole of that time.")
        }
        "machine_availabilities_no_overlap" => {
            refuse(Code::AvailabilityOverlaps, "It overlaps a time in which the machine is already available.")
        }
        "bookings_half_days" | "machine_availabilities_half_days" => {
            refuse(Code::NotHalfDays, "Times begin and end at 00:00 or 12:00.")
        }
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
        "order_lines_gathering" => {
            refuse(Code::OrderNotGathering, "The order has closed; its lines can no longer be changed.")
        }
        "order_lines_whole_packs" => {
            refuse(Code::NotWholePacks, "The quantity must be whole packs.").field("quantity_kg")
        }
        "order_lines_quantity" => {
            refuse(Code::QuantityAbsurd, "A line is more than nothing and at most 3,000 t.").field("quantity_kg")
        }
        "scheme_criteria_weight" => invalid("criteria", "A weight is more than 0 and at most 1,000."),
        "schemes_version_once" => refuse(Code::ChangedMeanwhile, "Another coordinator changed the scheme first."),
        "shares_immutable" | "walks_immutable" | "readings_immutable" | "schemes_immutable" => {
            refuse(Code::NeverEdited, "It stands as entered.")
        }
        "memberships_club"
        | "invitations_club"
        | "grounds_club"
        | "bookings_club"
        | "order_lines_club"
        | "machine_clubs_club"
        | "machines_owner"
        | "calendar_feeds_club" => invalid("club_id", "There is no such club in this network."),
        "bookings_machine" | "machine_availabilities_machine" | "calendar_feeds_machine" => {
            invalid("machine_id", "There is no such machine in this network.")
        }
        "booking_pitches_pitch" => invalid("pitch_ids", "Choose pitches of the booking's own club."),
        "walks_pitch" => invalid("pitch_id", "There is no such pitch."),
        "pooled_orders_product" => invalid("product_id", "There is no such product in this network."),
        "pooled_orders_supplier" => invalid("supplier_id", "There is no such supplier in this network."),
        "grounds_position" => invalid("latitude_deg", "Latitude is −90 to 90, longitude −180 to 180."),
        "pitches_size" => invalid("length_m", "A pitch is 10 to 300 m long and wide."),
        "pitches_area" => invalid("area_m2", "A pitch is 100 to 90,000 m²."),
        _ => return None,
    })
}
