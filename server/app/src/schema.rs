// @generated automatically by Diesel CLI.

diesel::table! {
    use diesel::sql_types::*;

    /// A file that a row refers to: a maker's manual, a photo. Its bytes lie in the object store under network/id.
    attachments (network_id, id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// UUIDv7, minted by the sender, so that sending again is the same file.
        id -> Uuid,
        /// Shown to this club and the coordinators only; null: to the whole network.
        club_id -> Nullable<Uuid>,
        /// What it is called when saved.
        file_name -> Text,
        /// Found by looking into the file: application/pdf, or image/jpeg for every picture, made anew.
        media_type -> Text,
        /// Of the object as kept.
        size_bytes -> Int4,
        /// Of the bytes as sent, to tell the same file sent again from another.
        sent_sha256 -> Bytea,
        /// Who sent it.
        uploaded_by -> Uuid,
        /// When.
        uploaded_at -> Timestamptz,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// A booking behind a fault that took its machine out of service: it holds its place until decided.
    booking_decisions (network_id, booking_id, fault_id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// Which booking.
        booking_id -> Uuid,
        /// Because of which fault.
        fault_id -> Uuid,
        /// Since when it waits.
        asked_at -> Timestamptz,
        /// keep, move, cancel, other_machine, fault_cleared (nothing left to decide); null while it waits.
        decision -> Nullable<Text>,
        /// What the coordinator said.
        note -> Text,
        /// Who decided.
        decided_by -> Nullable<Uuid>,
        /// When.
        decided_at -> Nullable<Timestamptz>,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// The pitches a booking is for: always the booking club's own.
    booking_pitches (network_id, booking_id, pitch_id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// Which booking.
        booking_id -> Uuid,
        /// Which pitch.
        pitch_id -> Uuid,
        /// The club of both.
        club_id -> Uuid,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// A club holds a machine for half-days; nobody else can.
    bookings (network_id, id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// UUIDv7.
        id -> Uuid,
        /// Which machine.
        machine_id -> Uuid,
        /// Who holds it.
        club_id -> Uuid,
        /// Half-days of network-local time, half-open.
        span -> Tsrange,
        /// The machine's handover gap when it was booked.
        gap_half_days -> Int4,
        /// The span and the handover gap after it: what no other booking may touch.
        held -> Tsrange,
        /// The availability it lies in; null once it holds nothing.
        availability_id -> Nullable<Uuid>,
        /// That availability's span, kept equal by the foreign key so that a check can compare.
        available -> Nullable<Tsrange>,
        /// offered (to the first on the waiting list, holds the span), asked (waits for the coordinator, holds the span), agreed, refused, cancelled, lapsed (an offer nobody took).
        state -> Text,
        /// By the machine's charge rules when it was booked or moved.
        charge_pence -> Int8,
        /// Free text.
        note -> Text,
        /// Who booked.
        booked_by -> Uuid,
        /// What the coordinator said when refusing.
        answer_reason -> Nullable<Text>,
        /// Counts changes; the ETag of what people edit together.
        version -> Int4,
        /// When it was made.
        created_at -> Timestamptz,
        /// When it was last made, moved, answered or cancelled; calendars say it.
        changed_at -> Timestamptz,
        /// The round that made it; null for a booking made directly.
        round_id -> Nullable<Uuid>,
        /// The request it serves; null for a booking made directly.
        request_id -> Nullable<Uuid>,
        /// The standing booking it is an occurrence of, if it is one.
        standing_id -> Nullable<Uuid>,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// The secret address of a club's or machine's calendar; replaced when it has leaked.
    calendar_feeds (network_id, id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// UUIDv7.
        id -> Uuid,
        /// Bookings of this club, or
        club_id -> Nullable<Uuid>,
        /// bookings of this machine.
        machine_id -> Nullable<Uuid>,
        /// The address; shown to members, so kept readable.
        secret -> Text,
        /// When it was made or replaced.
        created_at -> Timestamptz,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// A member club.
    clubs (network_id, id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// UUIDv7.
        id -> Uuid,
        /// Unique in the network.
        name -> Text,
        /// In comparisons: named, or counted without a name.
        sharing -> Text,
        /// Counts changes; the ETag of what people edit together.
        version -> Int4,
        /// When it joined.
        created_at -> Timestamptz,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// Road between the depot of a hire and a ground where a coordinator knows better than 1.3 times the distance as the crow flies.
    depot_roads (network_id, hire_id, ground_id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// The hire whose depot it is; another depot is another road.
        hire_id -> Uuid,
        /// The ground; the road is the same both ways.
        ground_id -> Uuid,
        /// Length in hectometres (0.1 km).
        road_hm -> Int4,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// The end of a fault: mended, or found to be none.
    fault_clearings (network_id, fault_id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// Which fault.
        fault_id -> Uuid,
        /// What was done.
        note -> Text,
        /// Who cleared it.
        cleared_by -> Uuid,
        /// When.
        cleared_at -> Timestamptz,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// Photos of a fault.
    fault_photos (network_id, fault_id, attachment_id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// Which fault.
        fault_id -> Uuid,
        /// The photo.
        attachment_id -> Uuid,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// What is wrong with a machine. Stands as told; ended by a clearing.
    faults (network_id, id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// UUIDv7.
        id -> Uuid,
        /// Which machine.
        machine_id -> Uuid,
        /// Found at this handover; null when told at another time.
        handover_id -> Nullable<Uuid>,
        /// usable: work can go on; out_of_service: nobody uses it until cleared.
        severity -> Text,
        /// In words.
        what -> Text,
        /// Who told.
        told_by -> Uuid,
        /// When.
        told_at -> Timestamptz,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// Half-days on which no machine may go onto a ground.
    ground_closures (network_id, id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// UUIDv7.
        id -> Uuid,
        /// The club of the ground.
        club_id -> Uuid,
        /// Which ground.
        ground_id -> Uuid,
        /// Half-days of network-local time, half-open.
        span -> Tsrange,
        /// Why, for everybody to read.
        reason -> Text,
        /// Who closed it.
        closed_by -> Uuid,
        /// When it was closed.
        closed_at -> Timestamptz,
        /// When it was opened again before its time; null while it counts.
        lifted_at -> Nullable<Timestamptz>,
        /// Who opened it again.
        lifted_by -> Nullable<Uuid>,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// A place with pitches.
    grounds (network_id, id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// UUIDv7.
        id -> Uuid,
        /// Whose ground.
        club_id -> Uuid,
        /// Unique in the club.
        name -> Text,
        /// WGS84, degrees north.
        latitude_deg -> Float8,
        /// WGS84, degrees east.
        longitude_deg -> Float8,
        /// Topsoil texture.
        soil -> Text,
        /// Under the pitches: none, slit, pipe, pipe_and_slit.
        drainage -> Text,
        /// The largest lorry that gets in: none, rigid, articulated.
        lorry_access -> Text,
        /// Whether a load can be tipped on hard ground.
        hard_standing -> Bool,
        /// The tractor kept on site, kW; null for none.
        tractor_kw -> Nullable<Float8>,
        /// Counts changes; the ETag of what people edit together.
        version -> Int4,
        /// When it was entered.
        created_at -> Timestamptz,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// A club takes a machine over, or gives it back: signed, and never changed; countered by a new one.
    handovers (network_id, id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// UUIDv7, minted on the phone.
        id -> Uuid,
        /// For which booking.
        booking_id -> Uuid,
        /// The machine of the booking.
        machine_id -> Uuid,
        /// The club of the booking.
        club_id -> Uuid,
        /// out: the club takes the machine over; in: it gives the machine back.
        direction -> Text,
        /// 1, or one more than the handover it counters.
        revision -> Int4,
        /// The handover this one puts right.
        counters -> Nullable<Uuid>,
        /// The hour meter, in tenths of an hour; null for a machine without one.
        meter_tenth_hours -> Nullable<Int4>,
        /// The reading before it, when it was signed.
        previous_tenth_hours -> Nullable<Int4>,
        /// Why the meter stands lower than before; empty where it does not.
        meter_reason -> Text,
        /// Tines, blades or brushes looked at and sound; null for a machine without.
        tines_sound -> Nullable<Bool>,
        /// Guards and shaft cover looked at and sound.
        guards_sound -> Bool,
        /// Soil and grass washed off.
        washed_down -> Bool,
        /// Free text.
        note -> Text,
        /// The name typed under it.
        signed_name -> Text,
        /// The account it came from.
        signed_by -> Uuid,
        /// When, by the clock of the phone.
        signed_at -> Timestamptz,
        /// When it arrived.
        received_at -> Timestamptz,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// Statements whose invoice is paid as it was shared; nothing is owed for them any more.
    hire_settlements (network_id, statement_id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// Which statement.
        statement_id -> Uuid,
        /// The coordinator.
        settled_by -> Uuid,
        /// When.
        settled_at -> Timestamptz,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// What a club owes for a hire; never changed.
    hire_shares (network_id, statement_id, club_id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// The statement it belongs to.
        statement_id -> Uuid,
        /// Who owes.
        club_id -> Uuid,
        /// Half-days it had the machine.
        half_days -> Int4,
        /// Minutes of work.
        work_min -> Int8,
        /// Ground worked.
        area_m2 -> Int8,
        /// What the club would pay if it hired by itself for its days.
        alone_pence -> Int8,
        /// Its part of the total, never above what it would pay alone.
        share_pence -> Int8,
        /// Trips of a neighbour with a lent tractor, on top.
        helper_pence -> Int8,
        /// Of these, minutes read from the hour meter at signed handovers; the rest is reckoned.
        signed_min -> Int8,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// What a hire came to and by which rule it is shared; never changed, only countered.
    hire_statements (network_id, id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// UUIDv7.
        id -> Uuid,
        /// Which hire.
        hire_id -> Uuid,
        /// The earlier statement this one takes the place of; null for the first.
        counters -> Nullable<Uuid>,
        /// equal_discount, by_hours or shapley.
        rule -> Text,
        /// What the supplier asks, deposit left out.
        invoice_pence -> Int8,
        /// What the supplier should ask by the charges of the hire.
        expected_invoice_pence -> Int8,
        /// Fuel and wear by the hours of work.
        fuel_pence -> Int8,
        /// Towing from club to club.
        haul_pence -> Int8,
        /// All of it, helper trips left out: they go to the club helped.
        total_pence -> Int8,
        /// What the fund of the network carries because no club pays more than alone.
        fund_pence -> Int8,
        /// Free text.
        note -> Text,
        /// The coordinator.
        entered_by -> Uuid,
        /// When.
        entered_at -> Timestamptz,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// A machine taken from a supplier for given dates, with its charges.
    hires (network_id, id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// UUIDv7.
        id -> Uuid,
        /// The round it is planned in.
        round_id -> Uuid,
        /// From whom.
        supplier_id -> Uuid,
        /// What is hired.
        machine_id -> Uuid,
        /// The time the machine is there because of this hire; null once the round is called off.
        availability_id -> Nullable<Uuid>,
        /// Half-days of network-local time, half-open.
        span -> Tsrange,
        /// For seven days; null for no such charge.
        per_week_pence -> Nullable<Int8>,
        /// For a day; null for no such charge.
        per_day_pence -> Nullable<Int8>,
        /// For a lone half-day; null for no such charge.
        per_half_day_pence -> Nullable<Int8>,
        /// For a hectare worked; null for no such charge.
        per_ha_pence -> Nullable<Int8>,
        /// Brought by the supplier.
        delivery_pence -> Int8,
        /// Fetched by the supplier.
        collection_pence -> Int8,
        /// Given back at the end; no part of the cost.
        deposit_pence -> Int8,
        /// Of work.
        fuel_pence_per_hour -> Int8,
        /// Of towing between clubs.
        haul_pence_per_km -> Int8,
        /// supplier (brought and collected) or clubs (fetched from and taken back to the depot).
        hauled_by -> Text,
        /// Where the supplier keeps it; needed where clubs haul.
        depot_latitude_deg -> Nullable<Float8>,
        /// Where the supplier keeps it; needed where clubs haul.
        depot_longitude_deg -> Nullable<Float8>,
        /// Free text.
        note -> Text,
        /// When it was entered.
        created_at -> Timestamptz,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// What a POST answered, so that sending it again changes nothing and answers the same.
    idempotency_keys (network_id, person_id, key) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// Who sent it.
        person_id -> Uuid,
        /// The Idempotency-Key header.
        key -> Text,
        /// SHA-256 of method, path and body: a key belongs to one request.
        request_hash -> Bytea,
        /// HTTP status answered; null only inside the first transaction.
        status -> Nullable<Int2>,
        /// JSON answered.
        body -> Nullable<Jsonb>,
        /// When first seen.
        created_at -> Timestamptz,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// A mailed offer of a membership; single use, expiring.
    invitations (network_id, id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// UUIDv7.
        id -> Uuid,
        /// Where it was sent, lower case.
        email -> Text,
        /// How the inviter calls the person.
        name -> Text,
        /// The role offered.
        role -> Text,
        /// The club; null for a coordinator.
        club_id -> Nullable<Uuid>,
        /// SHA-256 of the token in the link.
        token_hash -> Bytea,
        /// Who invited; null when made from the command line.
        invited_by -> Nullable<Uuid>,
        /// When it was queued.
        created_at -> Timestamptz,
        /// Not accepted from here on.
        expires_at -> Timestamptz,
        /// When it was used.
        accepted_at -> Nullable<Timestamptz>,
        /// When it was taken back.
        withdrawn_at -> Nullable<Timestamptz>,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// Work to be done outside a request: written in the transaction that causes it, run at least once.
    jobs (id) {
        /// UUIDv7.
        id -> Uuid,
        /// The network it concerns; null for what stands above networks (a password reset).
        network_id -> Nullable<Uuid>,
        /// send_mail, close_order, remind_order.
        kind -> Text,
        /// What it is about, where there may be only one such job; else null.
        subject -> Nullable<Text>,
        /// What the job needs, by kind.
        payload -> Jsonb,
        /// waiting, done, parked (given up, shown to the coordinator), dropped (its cause went away).
        state -> Text,
        /// Not before.
        run_at -> Timestamptz,
        /// How often it was tried.
        attempts -> Int4,
        /// Claimed by a worker until then.
        locked_until -> Nullable<Timestamptz>,
        /// Why the last try failed.
        last_error -> Nullable<Text>,
        /// When it was queued.
        created_at -> Timestamptz,
        /// When it left waiting.
        finished_at -> Nullable<Timestamptz>,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// When a machine can be booked at all.
    machine_availabilities (network_id, id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// UUIDv7.
        id -> Uuid,
        /// Which machine.
        machine_id -> Uuid,
        /// Half-days of network-local time, half-open.
        span -> Tsrange,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// The clubs that may book a machine opened to named clubs.
    machine_clubs (network_id, machine_id, club_id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// Which machine.
        machine_id -> Uuid,
        /// Which club.
        club_id -> Uuid,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// The maker's papers of a machine.
    machine_manuals (network_id, machine_id, attachment_id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// Which machine.
        machine_id -> Uuid,
        /// The file.
        attachment_id -> Uuid,
        /// What it is.
        title -> Text,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// What is shared and booked.
    machines (network_id, id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// UUIDv7.
        id -> Uuid,
        /// Generic name, unique in the network.
        name -> Text,
        /// deep_tine_aerator, spiker, slitter, topdresser, seeder, brush, mower, other.
        kind -> Text,
        /// The owning club; null when the network owns it.
        owner_club_id -> Nullable<Uuid>,
        /// Working width.
        width_m -> Float8,
        /// Working speed.
        speed_km_h -> Float8,
        /// Share of the time spent working, 0 to 1 (ASABE EP496).
        field_efficiency -> Float8,
        /// Deepest setting; null if it does not enter the ground.
        max_depth_mm -> Nullable<Int4>,
        /// Between tines across the direction of travel.
        tine_spacing_across_mm -> Nullable<Int4>,
        /// Between holes along the direction of travel.
        tine_spacing_forward_mm -> Nullable<Int4>,
        /// Power the tractor must have; null for none.
        tractor_kw -> Nullable<Float8>,
        /// How it is coupled.
        linkage -> Text,
        /// Mass on the road.
        transport_kg -> Int4,
        /// For a lone half-day; null for no such charge.
        charge_per_half_day_pence -> Nullable<Int8>,
        /// For a whole day; null for no such charge.
        charge_per_day_pence -> Nullable<Int8>,
        /// Once a booking; null for no such charge.
        charge_per_use_pence -> Nullable<Int8>,
        /// Least length of a booking.
        shortest_half_days -> Int4,
        /// Greatest length of a booking.
        longest_half_days -> Int4,
        /// Kept free after each booking for handover.
        gap_half_days -> Int4,
        /// every_club, owner_only, named_clubs.
        who_may_book -> Text,
        /// Whether a booking is asked first and stands when the coordinator agrees.
        coordinator_agrees -> Bool,
        /// Free text.
        note -> Text,
        /// No longer offered.
        retired -> Bool,
        /// Counts changes; the ETag of what people edit together.
        version -> Int4,
        /// When it was entered.
        created_at -> Timestamptz,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// A person's place in a network or club.
    memberships (network_id, id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// UUIDv7.
        id -> Uuid,
        /// Whose.
        person_id -> Uuid,
        /// coordinator (network); grounds_lead, treasurer, volunteer (club).
        role -> Text,
        /// The club; null for a coordinator.
        club_id -> Nullable<Uuid>,
        /// Since when.
        created_at -> Timestamptz,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// A regional association of clubs: the tenant.
    networks (id) {
        /// UUIDv7.
        id -> Uuid,
        /// As members call it.
        name -> Text,
        /// IANA name; bookings are half-days of this zone.
        time_zone -> Text,
        /// When it was founded.
        created_at -> Timestamptz,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// One club's quantity in a pooled order.
    order_lines (network_id, order_id, club_id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// Which order.
        order_id -> Uuid,
        /// Whose line.
        club_id -> Uuid,
        /// Whole packs, kg.
        quantity_kg -> Int8,
        /// Who changed it last.
        changed_by -> Uuid,
        /// When.
        changed_at -> Timestamptz,
        /// Counts changes.
        version -> Int4,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// A link mailed to set a new password; single use.
    password_resets (token_hash) {
        /// SHA-256 of the token.
        token_hash -> Bytea,
        /// Whose password.
        person_id -> Uuid,
        /// Not accepted from here on.
        expires_at -> Timestamptz,
        /// When it was spent.
        used_at -> Nullable<Timestamptz>,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// An account. Stands above the networks: one person may belong to several.
    people (id) {
        /// UUIDv7.
        id -> Uuid,
        /// Sign-in name, lower case.
        email -> Text,
        /// As others see it.
        name -> Text,
        /// Argon2id, PHC string.
        password_hash -> Text,
        /// When the account was made.
        created_at -> Timestamptz,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// A playing surface.
    pitches (network_id, id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// UUIDv7.
        id -> Uuid,
        /// The club of its ground.
        club_id -> Uuid,
        /// Where it lies.
        ground_id -> Uuid,
        /// Unique on its ground.
        name -> Text,
        /// What is played on it.
        sport -> Text,
        /// Of the turf that is worked, in-goal and margins included.
        length_m -> Float8,
        /// Of the turf that is worked, margins included.
        width_m -> Float8,
        /// Turf worked; length × width unless stated.
        area_m2 -> Int4,
        /// Counts changes; the ETag of what people edit together.
        version -> Int4,
        /// When it was entered.
        created_at -> Timestamptz,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// Requests that have a place in a plan.
    plan_blocks (network_id, plan_id, request_id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// Which plan.
        plan_id -> Uuid,
        /// The round of both.
        round_id -> Uuid,
        /// Which request.
        request_id -> Uuid,
        /// The machine that comes.
        machine_id -> Uuid,
        /// Whose tractor and operator.
        crew_club_id -> Uuid,
        /// Half-days of network-local time, half-open.
        span -> Tsrange,
        /// Which of its wishes this is; null for a day that was only allowed.
        wish_rank -> Nullable<Int4>,
        /// Preference points it brings.
        points -> Int4,
        /// Road of the machine to get there, in hectometres; 0 where the supplier brings it.
        haul_hm -> Int4,
        /// Road of a lent tractor, over and back, in hectometres.
        helper_hm -> Int4,
        /// When the work is done and the machine may go on, network-local.
        leaves_at -> Timestamp,
        /// Why there is no better day; null where there is nothing to explain or it is not explained yet.
        reason -> Nullable<Text>,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// Requests that a plan does not serve.
    plan_left_out (network_id, plan_id, request_id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// Which plan.
        plan_id -> Uuid,
        /// The round of both.
        round_id -> Uuid,
        /// Which request.
        request_id -> Uuid,
        /// Why, and what would have made it possible; null until it is explained.
        reason -> Nullable<Text>,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// One joint purchase.
    pooled_orders (network_id, id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// UUIDv7.
        id -> Uuid,
        /// As members see it.
        title -> Text,
        /// What is bought.
        product_id -> Uuid,
        /// From whom.
        supplier_id -> Uuid,
        /// Mass a price is for, kg: one tonne or one bag.
        unit_kg -> Int8,
        /// Quantities are whole multiples of this.
        pack_kg -> Int8,
        /// VAT rate of the product in this order, 1/100 of a per cent.
        vat_basis_points -> Int4,
        /// Below this total the order is called off at closing.
        smallest_kg -> Int8,
        /// Lines can be changed until then; then it closes by itself.
        closes_at -> Timestamptz,
        /// First day of the delivery window.
        delivery_from_on -> Date,
        /// Last day of the delivery window.
        delivery_until_on -> Date,
        /// Free text.
        note -> Text,
        /// gathering, closed, placed, delivered, settled, called_off.
        state -> Text,
        /// When it closed; null while gathering.
        closed_at -> Nullable<Timestamptz>,
        /// All lines, fixed at closing.
        total_kg -> Nullable<Int8>,
        /// Price per unit excluding VAT, fixed at closing.
        price_pence -> Nullable<Int8>,
        /// Goods excluding VAT, fixed at closing.
        goods_pence -> Nullable<Int8>,
        /// VAT, fixed at closing.
        vat_pence -> Nullable<Int8>,
        /// Why it was called off.
        called_off_reason -> Nullable<Text>,
        /// The coordinator who opened it.
        opened_by -> Uuid,
        /// Counts changes; the ETag of what people edit together.
        version -> Int4,
        /// When it was opened.
        created_at -> Timestamptz,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// From this total on, every unit costs this much.
    price_breaks (network_id, order_id, from_kg) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// Which order.
        order_id -> Uuid,
        /// Total of all lines, kg.
        from_kg -> Int8,
        /// Per unit, excluding VAT.
        price_pence -> Int8,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// What can be ordered.
    products (network_id, id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// UUIDv7.
        id -> Uuid,
        /// Generic name, unique in the network.
        name -> Text,
        /// sand, seed, feed, other.
        kind -> Text,
        /// tonne or bag: what a price is for.
        sold_by -> Text,
        /// Mass of one tonne or one bag, kg.
        unit_kg -> Int8,
        /// VAT rate, 1/100 of a per cent; entered, never assumed.
        vat_basis_points -> Int4,
        /// Free text, such as where the VAT rate comes from.
        note -> Text,
        /// Counts changes; the ETag of what people edit together.
        version -> Int4,
        /// When it was entered.
        created_at -> Timestamptz,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// A measured value at a point of the pitch; never edited.
    readings (network_id, walk_id, criterion, point) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// Of which walk.
        walk_id -> Uuid,
        /// What was measured.
        criterion -> Text,
        /// The how-manieth reading of this criterion in the walk, from 1.
        point -> Int2,
        /// In the criterion's unit: %, mm, cm, g or mm/h.
        value -> Float8,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// One link of a session: each refresh uses a token up and issues the next of its family.
    refresh_tokens (token_hash) {
        /// SHA-256 of the token; the token itself is not kept.
        token_hash -> Bytea,
        /// One sign-in on one device.
        family_id -> Uuid,
        /// Whose session.
        person_id -> Uuid,
        /// When it was handed out.
        issued_at -> Timestamptz,
        /// Not accepted from here on.
        expires_at -> Timestamptz,
        /// When it was exchanged; a second use ends the family.
        used_at -> Nullable<Timestamptz>,
        /// When the family was ended by sign-out or reuse.
        ended_at -> Nullable<Timestamptz>,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// The half-days on which a request could be served.
    request_half_days (network_id, request_id, half_day) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// Which request.
        request_id -> Uuid,
        /// When the half-day begins, network-local.
        half_day -> Timestamp,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// The pitches a request is for: always of its club.
    request_pitches (network_id, request_id, pitch_id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// Which request.
        request_id -> Uuid,
        /// The club of both.
        club_id -> Uuid,
        /// Which pitch.
        pitch_id -> Uuid,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// The days a club would like best, in order.
    request_wishes (network_id, request_id, rank) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// Which request.
        request_id -> Uuid,
        /// 1 is liked best.
        rank -> Int4,
        /// The day the machine comes.
        wish_on -> Date,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// Road between two grounds where a coordinator knows better than 1.3 times the distance as the crow flies.
    roads (network_id, from_ground_id, to_ground_id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// The ground of the smaller id; the road is the same both ways.
        from_ground_id -> Uuid,
        /// The other ground.
        to_ground_id -> Uuid,
        /// Length in hectometres (0.1 km).
        road_hm -> Int4,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// Clubs that have other than one tractor with operator during a round.
    round_crews (network_id, round_id, club_id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// Which round.
        round_id -> Uuid,
        /// Which club.
        club_id -> Uuid,
        /// How many of its tractors with operators can work at once.
        crews -> Int4,
        /// Whether a neighbour may ask with one of them.
        lends -> Bool,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// The machines planned together in a round: hired ones, and those that the network or a club owns.
    round_machines (network_id, round_id, machine_id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// Which round.
        round_id -> Uuid,
        /// Which machine.
        machine_id -> Uuid,
        /// The hire it comes by; null for an owned machine.
        hire_id -> Nullable<Uuid>,
        /// Where an owned machine is fetched from and brought back to.
        kept_ground_id -> Nullable<Uuid>,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// A place of a planned round, offered to the club that asked for it.
    round_offers (network_id, id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// UUIDv7.
        id -> Uuid,
        /// Which round.
        round_id -> Uuid,
        /// The plan that gave the place.
        plan_id -> Uuid,
        /// The request it serves.
        request_id -> Uuid,
        /// To whom.
        club_id -> Uuid,
        /// Which machine.
        machine_id -> Uuid,
        /// Half-days of network-local time, half-open.
        span -> Tsrange,
        /// Whose tractor and operator: the club itself or the neighbour who lends.
        crew_club_id -> Uuid,
        /// Which of its wishes it got, 1 for the first; null for a day that was only allowed.
        wish_rank -> Nullable<Int4>,
        /// The expected share of the hire when it was offered; null where nobody can say.
        expected_pence -> Nullable<Int8>,
        /// offered, accepted, declined, lapsed, booked, withdrawn.
        state -> Text,
        /// Until when it can be answered.
        answer_by -> Timestamptz,
        /// When it was accepted or declined.
        answered_at -> Nullable<Timestamptz>,
        /// Who accepted or declined.
        answered_by -> Nullable<Uuid>,
        /// What the club said when declining.
        reason -> Text,
        /// The booking it became.
        booking_id -> Nullable<Uuid>,
        /// When it was offered.
        offered_at -> Timestamptz,
        /// When the club was reminded last; null where it was not.
        reminded_at -> Nullable<Timestamptz>,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// Where the coordinator wants a request to be, or not to be, whatever the plan would prefer.
    round_pins (network_id, id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// UUIDv7.
        id -> Uuid,
        /// Which round.
        round_id -> Uuid,
        /// Which request.
        request_id -> Uuid,
        /// pin (be there) or ban (do not).
        kind -> Text,
        /// The machine; null for any.
        machine_id -> Nullable<Uuid>,
        /// When it begins, network-local; null for any: a pin of any says that it must be served, a ban of any that it must not.
        half_day -> Nullable<Timestamp>,
        /// Which coordinator.
        made_by -> Uuid,
        /// When.
        created_at -> Timestamptz,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// Plans of a round: one for each order of wishes and haulage.
    round_plans (network_id, id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// UUIDv7.
        id -> Uuid,
        /// Which round.
        round_id -> Uuid,
        /// proposal, refill after places were declined, or replan of what is confirmed.
        purpose -> Text,
        /// wishes_first, between, haulage_first.
        plan_order -> Text,
        /// The worth of a preference point it was made with, in hectometres.
        hm_per_point -> Int4,
        /// queued, working, ready, failed, chosen, superseded.
        state -> Text,
        /// SHA-256 of the facts it is made from; when today's differ it is stale.
        facts -> Bytea,
        /// What it reaches: [{level, value, bound}], in the order they were settled.
        levels -> Jsonb,
        /// Why it failed, or what would serve more.
        note -> Nullable<Text>,
        /// A coordinator finds it good enough and waits no longer.
        stop_wanted -> Bool,
        /// Who asked for it.
        made_by -> Uuid,
        /// When it was asked for.
        created_at -> Timestamptz,
        /// When a worker took it up last.
        started_at -> Nullable<Timestamptz>,
        /// When it was there.
        ready_at -> Nullable<Timestamptz>,
        /// When its reasons were there.
        explained_at -> Nullable<Timestamptz>,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// A club's wish for a place in a round.
    round_requests (network_id, id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// UUIDv7.
        id -> Uuid,
        /// Which round.
        round_id -> Uuid,
        /// Whose wish.
        club_id -> Uuid,
        /// Where the work is.
        ground_id -> Uuid,
        /// 1 (would be nice) to 5 (cannot play without).
        need -> Int4,
        /// Depth the club wants worked; null for whatever the machine does.
        depth_mm -> Nullable<Int4>,
        /// Minutes to couple, set and clean, on top of the work.
        set_up_min -> Int4,
        /// own, or neighbour (lent, with operator).
        tractor -> Text,
        /// Power of the own tractor; null when lent.
        tractor_kw -> Nullable<Float8>,
        /// The neighbour who lends tractor and operator; null when own.
        helper_club_id -> Nullable<Uuid>,
        /// Free text.
        note -> Text,
        /// asked or withdrawn.
        state -> Text,
        /// Who asked or changed it last.
        asked_by -> Uuid,
        /// Counts changes; the ETag of what people edit together.
        version -> Int4,
        /// When it was made.
        created_at -> Timestamptz,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// The planned order in which machines travel from club to club; opened with a hire.
    rounds (network_id, id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// UUIDv7.
        id -> Uuid,
        /// As members see it.
        title -> Text,
        /// half_days or days: the unit in which clubs are placed.
        grain -> Text,
        /// First day of the round.
        from_on -> Date,
        /// Last day, itself within the round.
        until_on -> Date,
        /// Requests can be changed until then; then they close by themselves.
        requests_close_at -> Timestamptz,
        /// Policy: one preference point is worth so many hectometres of road.
        hm_per_point -> Int4,
        /// A club left out so many times running is served first; 0 for never.
        guarantee_after -> Int4,
        /// Free text.
        note -> Text,
        /// gathering, requests_closed, offered, agreed, finished, called_off.
        state -> Text,
        /// Why it was called off.
        called_off_reason -> Nullable<Text>,
        /// The coordinator who opened it.
        opened_by -> Uuid,
        /// Counts changes; the ETag of what people edit together.
        version -> Int4,
        /// When it was opened.
        created_at -> Timestamptz,
        /// Whether a place that is declined, or not answered in time, is offered to the next best.
        offers_on -> Bool,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// How a scheme turns the mean of a criterion into 0 to 100, and how much it counts.
    scheme_criteria (network_id, scheme_id, criterion) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// Which scheme.
        scheme_id -> Uuid,
        /// What is measured.
        criterion -> Text,
        /// Relative weight; normalised over the criteria measured.
        weight -> Float8,
        /// Array of [measured, score], measured rising; straight lines between, flat outside.
        points -> Jsonb,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// A version of the network's scoring scheme; the highest version is current.
    schemes (network_id, id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// UUIDv7.
        id -> Uuid,
        /// Counts up; an edit makes the next one.
        version -> Int4,
        /// Why it was changed.
        note -> Text,
        /// The coordinator; null for the scheme a network starts with.
        created_by -> Nullable<Uuid>,
        /// When.
        created_at -> Timestamptz,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// The owner was told, once for each time a service falls due.
    service_notices (network_id, plan_id, after_on, standing) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// Of which plan.
        plan_id -> Uuid,
        /// The date it was last done, or first counted from.
        after_on -> Date,
        /// due or overdue.
        standing -> Text,
        /// When.
        told_at -> Timestamptz,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// What is to be done to a machine again and again, by hours run or by date.
    service_plans (network_id, id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// UUIDv7.
        id -> Uuid,
        /// Which machine.
        machine_id -> Uuid,
        /// Such as: grease the shaft.
        what -> Text,
        /// Hours run between two; null: hours do not count.
        every_hours -> Nullable<Int4>,
        /// Months between two; null: dates do not count.
        every_months -> Nullable<Int4>,
        /// Counted from this date until it is first done.
        first_on -> Date,
        /// Counted from this meter reading until it is first done.
        first_tenth_hours -> Int4,
        /// No longer wanted since then.
        ended_at -> Nullable<Timestamptz>,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// A service that was done.
    services_done (network_id, id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// UUIDv7.
        id -> Uuid,
        /// Of which plan.
        plan_id -> Uuid,
        /// On which date.
        done_on -> Date,
        /// The hour meter then, in tenths of an hour; null where it was not read.
        meter_tenth_hours -> Nullable<Int4>,
        /// Free text.
        note -> Text,
        /// Who entered it.
        entered_by -> Uuid,
        /// When.
        entered_at -> Timestamptz,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// What a club owes for a pooled order; entered at closing, never changed.
    shares (network_id, order_id, club_id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// Which order.
        order_id -> Uuid,
        /// Who owes.
        club_id -> Uuid,
        /// The line it was reckoned from.
        quantity_kg -> Int8,
        /// Excluding VAT.
        goods_pence -> Int8,
        /// VAT.
        vat_pence -> Int8,
        /// The same quantity bought alone, excluding VAT.
        alone_goods_pence -> Int8,
        /// VAT on that.
        alone_vat_pence -> Int8,
        /// When the order closed.
        entered_at -> Timestamptz,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// Failed sign-ins and reset requests, counted to slow guessing down.
    sign_in_attempts (id) {
        /// Running number.
        id -> Int8,
        /// SHA-256 of the e-mail address or network address tried.
        subject_hash -> Bytea,
        /// When.
        attempted_at -> Timestamptz,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// A machine booked again and again by a rule; each occurrence is an ordinary booking.
    standing_bookings (network_id, id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// UUIDv7.
        id -> Uuid,
        /// Which machine.
        machine_id -> Uuid,
        /// Who holds it.
        club_id -> Uuid,
        /// Where the rule begins to count, and how long each occurrence is: half-days of local time.
        first_span -> Tsrange,
        /// Recurrence rule (RFC 5545, section 3.3.10), in dates.
        rule -> Text,
        /// Dates the rule would give and that are left out (RFC 5545, section 3.8.5.1).
        except_on -> Array<Nullable<Date>>,
        /// Free text, copied to each booking.
        note -> Text,
        /// Who made it.
        made_by -> Uuid,
        /// From this date on it was given up; null while it stands.
        ended_from -> Nullable<Date>,
        /// When it was made.
        created_at -> Timestamptz,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// Who sells materials or hires out machines; has no account, gets papers.
    suppliers (network_id, id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// UUIDv7.
        id -> Uuid,
        /// Unique in the network.
        name -> Text,
        /// Where papers go; null if unknown.
        email -> Nullable<Text>,
        /// As dialled; null if unknown.
        phone -> Nullable<Text>,
        /// Free text.
        note -> Text,
        /// Counts changes; the ETag of what people edit together.
        version -> Int4,
        /// When it was entered.
        created_at -> Timestamptz,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// A club proposes to another that their bookings change places.
    swaps (network_id, id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// UUIDv7.
        id -> Uuid,
        /// Who proposes.
        given_club_id -> Uuid,
        /// What it would give.
        given_booking_id -> Uuid,
        /// As it was then; a change since lapses the proposal.
        given_version -> Int4,
        /// Who answers.
        wanted_club_id -> Uuid,
        /// What the proposer would have instead.
        wanted_booking_id -> Uuid,
        /// As it was then; a change since lapses the proposal.
        wanted_version -> Int4,
        /// proposed, accepted, declined, withdrawn, lapsed.
        state -> Text,
        /// What the proposer says with it.
        note -> Text,
        /// Who proposed.
        proposed_by -> Uuid,
        /// When.
        created_at -> Timestamptz,
        /// When it was answered, withdrawn or found lapsed; null while it stands.
        answered_at -> Nullable<Timestamptz>,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// Machines for which a booking by a club without a trained person is warned about.
    training_rules (network_id, machine_id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// Which machine.
        machine_id -> Uuid,
        /// Whether it warns; without a row it does not.
        warns -> Bool,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// Who was shown how to work a machine, or a kind of machine, as the coordinator noted.
    trainings (network_id, id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// UUIDv7.
        id -> Uuid,
        /// At which club.
        club_id -> Uuid,
        /// Who; the person needs no account.
        person_name -> Text,
        /// On this machine, or
        machine_id -> Nullable<Uuid>,
        /// on every machine of this kind.
        machine_kind -> Nullable<Text>,
        /// On which date.
        trained_on -> Date,
        /// The last date it counts; null: it does not run out.
        until_on -> Nullable<Date>,
        /// Free text.
        note -> Text,
        /// Who noted it.
        noted_by -> Uuid,
        /// When.
        noted_at -> Timestamptz,
        /// No longer counts since then.
        withdrawn_at -> Nullable<Timestamptz>,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// The record of who had which days and who went without; entered when a round is agreed, never edited, only countered.
    turns (network_id, id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// UUIDv7.
        id -> Uuid,
        /// Which club.
        club_id -> Uuid,
        /// In which round.
        round_id -> Uuid,
        /// By which request.
        request_id -> Uuid,
        /// The year the season began in.
        season -> Int4,
        /// left_out, served_late, prime_day, served.
        kind -> Text,
        /// When it was entered.
        entered_at -> Timestamptz,
        /// The earlier entry of the same request this one takes the place of; null for the first.
        counters -> Nullable<Uuid>,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// Clubs that would have a machine for a span that is taken, in the order in which they joined.
    waiting (network_id, id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// UUIDv7.
        id -> Uuid,
        /// Which machine.
        machine_id -> Uuid,
        /// Who waits.
        club_id -> Uuid,
        /// For which half-days of network-local time, half-open.
        span -> Tsrange,
        /// The order of joining; counted while the machine's row is held.
        place -> Int8,
        /// waiting, offered (the booking holds the span until then), taken, lapsed, left.
        state -> Text,
        /// The offer: a booking in the state offered; then what became of it.
        booking_id -> Nullable<Uuid>,
        /// Until when the offer holds.
        offered_until -> Nullable<Timestamptz>,
        /// Free text, copied to the booking.
        note -> Text,
        /// Who joined.
        joined_by -> Uuid,
        /// When.
        joined_at -> Timestamptz,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// The pitches a club waits for: always its own.
    waiting_pitches (network_id, waiting_id, pitch_id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// Which place on the list.
        waiting_id -> Uuid,
        /// Which pitch.
        pitch_id -> Uuid,
        /// The club of both.
        club_id -> Uuid,
    }
}

diesel::table! {
    use diesel::sql_types::*;

    /// An assessment visit to a pitch; never edited.
    walks (network_id, id) {
        /// The network; nothing crosses it.
        network_id -> Uuid,
        /// UUIDv7, minted by the phone or by the server.
        id -> Uuid,
        /// The club of the pitch.
        club_id -> Uuid,
        /// Which pitch.
        pitch_id -> Uuid,
        /// Local date of the visit.
        walked_on -> Date,
        /// Who walked.
        walked_by -> Uuid,
        /// The scheme version it was scored with.
        scheme_id -> Uuid,
        /// 0 to 100 by that scheme.
        score -> Float8,
        /// Standard error of the score.
        score_se -> Float8,
        /// Free text.
        note -> Text,
        /// When it arrived.
        created_at -> Timestamptz,
    }
}

diesel::joinable!(attachments -> networks (network_id));
diesel::joinable!(attachments -> people (uploaded_by));
diesel::joinable!(booking_decisions -> networks (network_id));
diesel::joinable!(booking_decisions -> people (decided_by));
diesel::joinable!(booking_pitches -> networks (network_id));
diesel::joinable!(bookings -> networks (network_id));
diesel::joinable!(bookings -> people (booked_by));
diesel::joinable!(calendar_feeds -> networks (network_id));
diesel::joinable!(clubs -> networks (network_id));
diesel::joinable!(depot_roads -> networks (network_id));
diesel::joinable!(fault_clearings -> networks (network_id));
diesel::joinable!(fault_clearings -> people (cleared_by));
diesel::joinable!(fault_photos -> networks (network_id));
diesel::joinable!(faults -> networks (network_id));
diesel::joinable!(faults -> people (told_by));
diesel::joinable!(ground_closures -> networks (network_id));
diesel::joinable!(grounds -> networks (network_id));
diesel::joinable!(handovers -> networks (network_id));
diesel::joinable!(handovers -> people (signed_by));
diesel::joinable!(hire_settlements -> networks (network_id));
diesel::joinable!(hire_settlements -> people (settled_by));
diesel::joinable!(hire_shares -> networks (network_id));
diesel::joinable!(hire_statements -> networks (network_id));
diesel::joinable!(hire_statements -> people (entered_by));
diesel::joinable!(hires -> networks (network_id));
diesel::joinable!(idempotency_keys -> networks (network_id));
diesel::joinable!(idempotency_keys -> people (person_id));
diesel::joinable!(invitations -> networks (network_id));
diesel::joinable!(invitations -> people (invited_by));
diesel::joinable!(jobs -> networks (network_id));
diesel::joinable!(machine_availabilities -> networks (network_id));
diesel::joinable!(machine_clubs -> networks (network_id));
diesel::joinable!(machine_manuals -> networks (network_id));
diesel::joinable!(machines -> networks (network_id));
diesel::joinable!(memberships -> networks (network_id));
diesel::joinable!(memberships -> people (person_id));
diesel::joinable!(order_lines -> networks (network_id));
diesel::joinable!(order_lines -> people (changed_by));
diesel::joinable!(password_resets -> people (person_id));
diesel::joinable!(pitches -> networks (network_id));
diesel::joinable!(plan_blocks -> networks (network_id));
diesel::joinable!(plan_left_out -> networks (network_id));
diesel::joinable!(pooled_orders -> networks (network_id));
diesel::joinable!(pooled_orders -> people (opened_by));
diesel::joinable!(price_breaks -> networks (network_id));
diesel::joinable!(products -> networks (network_id));
diesel::joinable!(readings -> networks (network_id));
diesel::joinable!(refresh_tokens -> people (person_id));
diesel::joinable!(request_half_days -> networks (network_id));
diesel::joinable!(request_pitches -> networks (network_id));
diesel::joinable!(request_wishes -> networks (network_id));
diesel::joinable!(roads -> networks (network_id));
diesel::joinable!(round_crews -> networks (network_id));
diesel::joinable!(round_machines -> networks (network_id));
diesel::joinable!(round_offers -> networks (network_id));
diesel::joinable!(round_offers -> people (answered_by));
diesel::joinable!(round_pins -> networks (network_id));
diesel::joinable!(round_pins -> people (made_by));
diesel::joinable!(round_plans -> networks (network_id));
diesel::joinable!(round_plans -> people (made_by));
diesel::joinable!(round_requests -> networks (network_id));
diesel::joinable!(round_requests -> people (asked_by));
diesel::joinable!(rounds -> networks (network_id));
diesel::joinable!(rounds -> people (opened_by));
diesel::joinable!(scheme_criteria -> networks (network_id));
diesel::joinable!(schemes -> networks (network_id));
diesel::joinable!(schemes -> people (created_by));
diesel::joinable!(service_notices -> networks (network_id));
diesel::joinable!(service_plans -> networks (network_id));
diesel::joinable!(services_done -> networks (network_id));
diesel::joinable!(services_done -> people (entered_by));
diesel::joinable!(shares -> networks (network_id));
diesel::joinable!(standing_bookings -> networks (network_id));
diesel::joinable!(standing_bookings -> people (made_by));
diesel::joinable!(suppliers -> networks (network_id));
diesel::joinable!(swaps -> networks (network_id));
diesel::joinable!(swaps -> people (proposed_by));
diesel::joinable!(training_rules -> networks (network_id));
diesel::joinable!(trainings -> networks (network_id));
diesel::joinable!(trainings -> people (noted_by));
diesel::joinable!(turns -> networks (network_id));
diesel::joinable!(waiting -> networks (network_id));
diesel::joinable!(waiting -> people (joined_by));
diesel::joinable!(waiting_pitches -> networks (network_id));
diesel::joinable!(walks -> networks (network_id));
diesel::joinable!(walks -> people (walked_by));

diesel::allow_tables_to_appear_in_same_query!(
    attachments,
    booking_decisions,
    booking_pitches,
    bookings,
    calendar_feeds,
    clubs,
    depot_roads,
    fault_clearings,
    fault_photos,
    faults,
    ground_closures,
    grounds,
    handovers,
    hire_settlements,
    hire_shares,
    hire_statements,
    hires,
    idempotency_keys,
    invitations,
    jobs,
    machine_availabilities,
    machine_clubs,
    machine_manuals,
    machines,
    memberships,
    networks,
    order_lines,
    password_resets,
    people,
    pitches,
    plan_blocks,
    plan_left_out,
    pooled_orders,
    price_breaks,
    products,
    readings,
    refresh_tokens,
    request_half_days,
    request_pitches,
    request_wishes,
    roads,
    round_crews,
    round_machines,
    round_offers,
    round_pins,
    round_plans,
    round_requests,
    rounds,
    scheme_criteria,
    schemes,
    service_notices,
    service_plans,
    services_done,
    shares,
    sign_in_attempts,
    standing_bookings,
    suppliers,
    swaps,
    training_rules,
    trainings,
    turns,
    waiting,
    waiting_pitches,
    walks,
);
