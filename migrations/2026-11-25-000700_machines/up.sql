CREATE TABLE machines (
    network_id uuid NOT NULL REFERENCES networks (id),
    id uuid NOT NULL,
    name text NOT NULL,
    kind text NOT NULL,
    owner_club_id uuid,
    width_m double precision NOT NULL,
    speed_km_h double precision NOT NULL,
    field_efficiency double precision NOT NULL,
    max_depth_mm integer,
    tine_spacing_across_mm integer,
    tine_spacing_forward_mm integer,
    tractor_kw double precision,
    linkage text NOT NULL,
    transport_kg integer NOT NULL,
    charge_per_half_day_pence bigint,
    charge_per_day_pence bigint,
    charge_per_use_pence bigint,
    shortest_half_days integer NOT NULL,
    longest_half_days integer NOT NULL,
    gap_half_days integer NOT NULL,
    who_may_book text NOT NULL,
    coordinator_agrees boolean NOT NULL,
    note text NOT NULL DEFAULT '',
    retired boolean NOT NULL DEFAULT false,
    version integer NOT NULL DEFAULT 1,
    created_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (network_id, id),
    CONSTRAINT machines_name_once UNIQUE (network_id, name),
    CONSTRAINT machines_owner FOREIGN KEY (network_id, owner_club_id) REFERENCES clubs (network_id, id),
    CONSTRAINT machines_name_length CHECK (char_length(name) BETWEEN 1 AND 120),
    CONSTRAINT machines_kind_known CHECK (kind IN ('deep_tine_aerator', 'spiker', 'slitter', 'topdresser', 'seeder', 'brush', 'mower', 'other')),
    CONSTRAINT machines_width CHECK (width_m > 0 AND width_m <= 20),
    CONSTRAINT machines_speed CHECK (speed_km_h > 0 AND speed_km_h <= 40),
    CONSTRAINT machines_efficiency CHECK (field_efficiency > 0 AND field_efficiency <= 1),
    CONSTRAINT machines_depth CHECK (max_depth_mm BETWEEN 1 AND 1000),
    CONSTRAINT machines_tine_spacing CHECK (tine_spacing_across_mm BETWEEN 1 AND 2000 AND tine_spacing_forward_mm BETWEEN 1 AND 2000),
    CONSTRAINT machines_tines_both CHECK ((tine_spacing_across_mm IS NULL) = (tine_spacing_forward_mm IS NULL)),
    CONSTRAINT machines_tractor CHECK (tractor_kw > 0 AND tractor_kw < 1000),
    CONSTRAINT machines_linkage_known CHECK (linkage IN ('none', 'category_1', 'category_2', 'drawbar', 'pedestrian')),
    CONSTRAINT machines_transport CHECK (transport_kg BETWEEN 1 AND 20000),
    CONSTRAINT machines_charges CHECK (
        coalesce(charge_per_half_day_pence, 0) BETWEEN 0 AND 100000000
        AND coalesce(charge_per_day_pence, 0) BETWEEN 0 AND 100000000
        AND coalesce(charge_per_use_pence, 0) BETWEEN 0 AND 100000000
    ),
    CONSTRAINT machines_lengths CHECK (shortest_half_days >= 1 AND longest_half_days BETWEEN shortest_half_days AND 60),
    CONSTRAINT machines_gap CHECK (gap_half_days BETWEEN 0 AND 14),
    CONSTRAINT machines_who_known CHECK (who_may_book IN ('every_club', 'owner_only', 'named_clubs')),
    CONSTRAINT machines_owner_only CHECK (who_may_book <> 'owner_only' OR owner_club_id IS NOT NULL)
);
COMMENT ON TABLE machines IS 'What is shared and booked.';
COMMENT ON COLUMN machines.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN machines.id IS 'UUIDv7.';
COMMENT ON COLUMN machines.name IS 'Generic name, unique in the network.';
COMMENT ON COLUMN machines.kind IS 'deep_tine_aerator, spiker, slitter, topdresser, seeder, brush, mower, other.';
COMMENT ON COLUMN machines.owner_club_id IS 'The owning club; null when the network owns it.';
COMMENT ON COLUMN machines.width_m IS 'Working width.';
COMMENT ON COLUMN machines.speed_km_h IS 'Working speed.';
COMMENT ON COLUMN machines.field_efficiency IS 'Share of the time spent working, 0 to 1 (ASABE EP496).';
COMMENT ON COLUMN machines.max_depth_mm IS 'Deepest setting; null if it does not enter the ground.';
COMMENT ON COLUMN machines.tine_spacing_across_mm IS 'Between tines across the direction of travel.';
COMMENT ON COLUMN machines.tine_spacing_forward_mm IS 'Between holes along the direction of travel.';
COMMENT ON COLUMN machines.tractor_kw IS 'Power the tractor must have; null for none.';
COMMENT ON COLUMN machines.linkage IS 'How it is coupled.';
COMMENT ON COLUMN machines.transport_kg IS 'Mass on the road.';
COMMENT ON COLUMN machines.charge_per_half_day_pence IS 'For a lone half-day; null for no such charge.';
COMMENT ON COLUMN machines.charge_per_day_pence IS 'For a whole day; null for no such charge.';
COMMENT ON COLUMN machines.charge_per_use_pence IS 'Once a booking; null for no such charge.';
COMMENT ON COLUMN machines.shortest_half_days IS 'Least length of a booking.';
COMMENT ON COLUMN machines.longest_half_days IS 'Greatest length of a booking.';
COMMENT ON COLUMN machines.gap_half_days IS 'Kept free after each booking for handover.';
COMMENT ON COLUMN machines.who_may_book IS 'every_club, owner_only, named_clubs.';
COMMENT ON COLUMN machines.coordinator_agrees IS 'Whether a booking is asked first and stands when the coordinator agrees.';
COMMENT ON COLUMN machines.note IS 'Free text.';
COMMENT ON COLUMN machines.retired IS 'No longer offered.';
COMMENT ON COLUMN machines.version IS 'Counts changes; the ETag of what people edit together.';
COMMENT ON COLUMN machines.created_at IS 'When it was entered.';

ALTER TABLE machines ENABLE ROW LEVEL SECURITY;
ALTER TABLE machines FORCE ROW LEVEL SECURITY;
CREATE POLICY machines_own_network ON machines USING (network_id = current_network());

CREATE TABLE machine_clubs (
    network_id uuid NOT NULL REFERENCES networks (id),
    machine_id uuid NOT NULL,
    club_id uuid NOT NULL,
    PRIMARY KEY (network_id, machine_id, club_id),
    CONSTRAINT machine_clubs_machine FOREIGN KEY (network_id, machine_id) REFERENCES machines (network_id, id),
    CONSTRAINT machine_clubs_club FOREIGN KEY (network_id, club_id) REFERENCES clubs (network_id, id)
);
COMMENT ON TABLE machine_clubs IS 'The clubs that may book a machine opened to named clubs.';
COMMENT ON COLUMN machine_clubs.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN machine_clubs.machine_id IS 'Which machine.';
COMMENT ON COLUMN machine_clubs.club_id IS 'Which club.';

ALTER TABLE machine_clubs ENABLE ROW LEVEL SECURITY;
ALTER TABLE machine_clubs FORCE ROW LEVEL SECURITY;
CREATE POLICY machine_clubs_own_network ON machine_clubs USING (network_id = current_network());

CREATE TABLE machine_availabilities (
    network_id uuid NOT NULL REFERENCES networks (id),
    id uuid NOT NULL,
    machine_id uuid NOT NULL,
    span tsrange NOT NULL,
    PRIMARY KEY (network_id, id),
    CONSTRAINT machine_availabilities_span_once UNIQUE (network_id, machine_id, id, span),
    CONSTRAINT machine_availabilities_machine FOREIGN KEY (network_id, machine_id) REFERENCES machines (network_id, id),
    CONSTRAINT machine_availabilities_no_overlap EXCLUDE USING gist (network_id WITH =, machine_id WITH =, span WITH &&),
    CONSTRAINT machine_availabilities_half_days CHECK (
        NOT isempty(span) AND lower_inc(span) AND NOT upper_inc(span)
        AND lower(span)::time IN ('00:00', '12:00') AND upper(span)::time IN ('00:00', '12:00')
    )
);
COMMENT ON TABLE machine_availabilities IS 'When a machine can be booked at all.';
COMMENT ON COLUMN machine_availabilities.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN machine_availabilities.id IS 'UUIDv7.';
COMMENT ON COLUMN machine_availabilities.machine_id IS 'Which machine.';
COMMENT ON COLUMN machine_availabilities.span IS 'Half-days of network-local time, half-open.';

ALTER TABLE machine_availabilities ENABLE ROW LEVEL SECURITY;
ALTER TABLE machine_availabilities FORCE ROW LEVEL SECURITY;
CREATE POLICY machine_availabilities_own_network ON machine_availabilities USING (network_id = current_network());
