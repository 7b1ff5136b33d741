CREATE TABLE rounds (
    network_id uuid NOT NULL REFERENCES networks (id),
    id uuid NOT NULL,
    title text NOT NULL,
    grain text NOT NULL,
    from_on date NOT NULL,
    until_on date NOT NULL,
    requests_close_at timestamptz NOT NULL,
    hm_per_point integer NOT NULL,
    guarantee_after integer NOT NULL,
    note text NOT NULL DEFAULT '',
    state text NOT NULL DEFAULT 'gathering',
    called_off_reason text,
    opened_by uuid NOT NULL REFERENCES people (id),
    version integer NOT NULL DEFAULT 1,
    created_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (network_id, id),
    CONSTRAINT rounds_title_length CHECK (char_length(title) BETWEEN 1 AND 120),
    CONSTRAINT rounds_grain_known CHECK (grain IN ('half_days', 'days')),
    CONSTRAINT rounds_days CHECK (until_on >= from_on AND until_on - from_on < 60),
    CONSTRAINT rounds_hm_per_point CHECK (hm_per_point BETWEEN 1 AND 10000),
    CONSTRAINT rounds_guarantee CHECK (guarantee_after BETWEEN 0 AND 10),
    CONSTRAINT rounds_state_known CHECK (state IN ('gathering', 'requests_closed', 'offered', 'agreed', 'finished', 'called_off')),
    CONSTRAINT rounds_reason CHECK ((state = 'called_off') = (called_off_reason IS NOT NULL))
);
CREATE INDEX rounds_by_day ON rounds (network_id, from_on);
COMMENT ON TABLE rounds IS 'The planned order in which machines travel from club to club; opened with a hire.';
COMMENT ON COLUMN rounds.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN rounds.id IS 'UUIDv7.';
COMMENT ON COLUMN rounds.title IS 'As members see it.';
COMMENT ON COLUMN rounds.grain IS 'half_days or days: the unit in which clubs are placed.';
COMMENT ON COLUMN rounds.from_on IS 'First day of the round.';
COMMENT ON COLUMN rounds.until_on IS 'Last day, itself within the round.';
COMMENT ON COLUMN rounds.requests_close_at IS 'Requests can be changed until then; then they close by themselves.';
COMMENT ON COLUMN rounds.hm_per_point IS 'Policy: one preference point is worth so many hectometres of road.';
COMMENT ON COLUMN rounds.guarantee_after IS 'A club left out so many times running is served first; 0 for never.';
COMMENT ON COLUMN rounds.note IS 'Free text.';
COMMENT ON COLUMN rounds.state IS 'gathering, requests_closed, offered, agreed, finished, called_off.';
COMMENT ON COLUMN rounds.called_off_reason IS 'Why it was called off.';
COMMENT ON COLUMN rounds.opened_by IS 'The coordinator who opened it.';
COMMENT ON COLUMN rounds.version IS 'Counts changes; the ETag of what people edit together.';
COMMENT ON COLUMN rounds.created_at IS 'When it was opened.';

ALTER TABLE rounds ENABLE ROW LEVEL SECURITY;
ALTER TABLE rounds FORCE ROW LEVEL SECURITY;
CREATE POLICY rounds_own_network ON rounds USING (network_id = current_network());

CREATE TABLE hires (
    network_id uuid NOT NULL REFERENCES networks (id),
    id uuid NOT NULL,
    round_id uuid NOT NULL,
    supplier_id uuid NOT NULL,
    machine_id uuid NOT NULL,
    availability_id uuid,
    span tsrange NOT NULL,
    per_week_pence bigint,
    per_day_pence bigint,
    per_half_day_pence bigint,
    per_ha_pence bigint,
    delivery_pence bigint NOT NULL,
    collection_pence bigint NOT NULL,
    deposit_pence bigint NOT NULL,
    fuel_pence_per_hour bigint NOT NULL,
    haul_pence_per_km bigint NOT NULL,
    hauled_by text NOT NULL,
    depot_latitude_deg double precision,
    depot_longitude_deg double precision,
    note text NOT NULL DEFAULT '',
    created_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (network_id, id),
    CONSTRAINT hires_of_round UNIQUE (network_id, round_id, id),
    CONSTRAINT hires_round FOREIGN KEY (network_id, round_id) REFERENCES rounds (network_id, id),
    CONSTRAINT hires_supplier FOREIGN KEY (network_id, supplier_id) REFERENCES suppliers (network_id, id),
    CONSTRAINT hires_machine FOREIGN KEY (network_id, machine_id) REFERENCES machines (network_id, id),
    CONSTRAINT hires_availability FOREIGN KEY (network_id, availability_id) REFERENCES machine_availabilities (network_id, id),
    CONSTRAINT hires_half_days CHECK (
        NOT isempty(span) AND lower_inc(span) AND NOT upper_inc(span)
        AND lower(span)::time IN ('00:00', '12:00') AND upper(span)::time IN ('00:00', '12:00')
    ),
    CONSTRAINT hires_charges CHECK (
        coalesce(per_week_pence, 0) BETWEEN 0 AND 100000000
        AND coalesce(per_day_pence, 0) BETWEEN 0 AND 100000000
        AND coalesce(per_half_day_pence, 0) BETWEEN 0 AND 100000000
        AND coalesce(per_ha_pence, 0) BETWEEN 0 AND 100000000
        AND coalesce(delivery_pence, 0) BETWEEN 0 AND 100000000
        AND coalesce(collection_pence, 0) BETWEEN 0 AND 100000000
        AND coalesce(deposit_pence, 0) BETWEEN 0 AND 100000000
        AND coalesce(fuel_pence_per_hour, 0) BETWEEN 0 AND 100000000
        AND coalesce(haul_pence_per_km, 0) BETWEEN 0 AND 100000000
    ),
    CONSTRAINT hires_charged CHECK (num_nonnulls(per_week_pence, per_day_pence, per_half_day_pence, per_ha_pence) > 0),
    CONSTRAINT hires_hauled_by_known CHECK (hauled_by IN ('supplier', 'clubs')),
    CONSTRAINT hires_depot CHECK (hauled_by = 'supplier' OR num_nonnulls(depot_latitude_deg, depot_longitude_deg) = 2),
    CONSTRAINT hires_depot_position CHECK (depot_latitude_deg BETWEEN -90 AND 90 AND depot_longitude_deg BETWEEN -180 AND 180),
    CONSTRAINT hires_depot_both CHECK ((depot_latitude_deg IS NULL) = (depot_longitude_deg IS NULL))
);
COMMENT ON TABLE hires IS 'A machine taken from a supplier for given dates, with its charges.';
COMMENT ON COLUMN hires.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN hires.id IS 'UUIDv7.';
COMMENT ON COLUMN hires.round_id IS 'The round it is planned in.';
COMMENT ON COLUMN hires.supplier_id IS 'From whom.';
COMMENT ON COLUMN hires.machine_id IS 'What is hired.';
COMMENT ON COLUMN hires.availability_id IS 'The time the machine is there because of this hire; null once the round is called off.';
COMMENT ON COLUMN hires.span IS 'Half-days of network-local time, half-open.';
COMMENT ON COLUMN hires.per_week_pence IS 'For seven days; null for no such charge.';
COMMENT ON COLUMN hires.per_day_pence IS 'For a day; null for no such charge.';
COMMENT ON COLUMN hires.per_half_day_pence IS 'For a lone half-day; null for no such charge.';
COMMENT ON COLUMN hires.per_ha_pence IS 'For a hectare worked; null for no such charge.';
COMMENT ON COLUMN hires.delivery_pence IS 'Brought by the supplier.';
COMMENT ON COLUMN hires.collection_pence IS 'Fetched by the supplier.';
COMMENT ON COLUMN hires.deposit_pence IS 'Given back at the end; no part of the cost.';
COMMENT ON COLUMN hires.fuel_pence_per_hour IS 'Of work.';
COMMENT ON COLUMN hires.haul_pence_per_km IS 'Of towing between clubs.';
COMMENT ON COLUMN hires.hauled_by IS 'supplier (brought and collected) or clubs (fetched from and taken back to the depot).';
COMMENT ON COLUMN hires.depot_latitude_deg IS 'Where the supplier keeps it; needed where clubs haul.';
COMMENT ON COLUMN hires.depot_longitude_deg IS 'Where the supplier keeps it; needed where clubs haul.';
COMMENT ON COLUMN hires.note IS 'Free text.';
COMMENT ON COLUMN hires.created_at IS 'When it was entered.';

ALTER TABLE hires ENABLE ROW LEVEL SECURITY;
ALTER TABLE hires FORCE ROW LEVEL SECURITY;
CREATE POLICY hires_own_network ON hires USING (network_id = current_network());

CREATE TABLE round_machines (
    network_id uuid NOT NULL REFERENCES networks (id),
    round_id uuid NOT NULL,
    machine_id uuid NOT NULL,
    hire_id uuid,
    kept_ground_id uuid,
    PRIMARY KEY (network_id, round_id, machine_id),
    CONSTRAINT round_machines_round FOREIGN KEY (network_id, round_id) REFERENCES rounds (network_id, id),
    CONSTRAINT round_machines_machine FOREIGN KEY (network_id, machine_id) REFERENCES machines (network_id, id),
    CONSTRAINT round_machines_hire FOREIGN KEY (network_id, round_id, hire_id) REFERENCES hires (network_id, round_id, id),
    CONSTRAINT round_machines_kept_at FOREIGN KEY (network_id, kept_ground_id) REFERENCES grounds (network_id, id),
    CONSTRAINT round_machines_kept_somewhere CHECK (num_nonnulls(hire_id, kept_ground_id) = 1)
);
COMMENT ON TABLE round_machines IS 'The machines planned together in a round: hired ones, and those that the network or a club owns.';
COMMENT ON COLUMN round_machines.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN round_machines.round_id IS 'Which round.';
COMMENT ON COLUMN round_machines.machine_id IS 'Which machine.';
COMMENT ON COLUMN round_machines.hire_id IS 'The hire it comes by; null for an owned machine.';
COMMENT ON COLUMN round_machines.kept_ground_id IS 'Where an owned machine is fetched from and brought back to.';

ALTER TABLE round_machines ENABLE ROW LEVEL SECURITY;
ALTER TABLE round_machines FORCE ROW LEVEL SECURITY;
CREATE POLICY round_machines_own_network ON round_machines USING (network_id = current_network());

CREATE TABLE round_requests (
    network_id uuid NOT NULL REFERENCES networks (id),
    id uuid NOT NULL,
    round_id uuid NOT NULL,
    club_id uuid NOT NULL,
    ground_id uuid NOT NULL,
    need integer NOT NULL,
    depth_mm integer,
    set_up_min integer NOT NULL,
    tractor text NOT NULL,
    tractor_kw double precision,
    helper_club_id uuid,
    note text NOT NULL DEFAULT '',
    state text NOT NULL DEFAULT 'asked',
    asked_by uuid NOT NULL REFERENCES people (id),
    version integer NOT NULL DEFAULT 1,
    created_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (network_id, id),
    CONSTRAINT round_requests_of_club UNIQUE (network_id, club_id, id),
    CONSTRAINT round_requests_of_round UNIQUE (network_id, round_id, id),
    CONSTRAINT round_requests_round FOREIGN KEY (network_id, round_id) REFERENCES rounds (network_id, id),
    CONSTRAINT round_requests_ground FOREIGN KEY (network_id, club_id, ground_id) REFERENCES grounds (network_id, club_id, id),
    CONSTRAINT round_requests_helper FOREIGN KEY (network_id, helper_club_id) REFERENCES clubs (network_id, id),
    CONSTRAINT round_requests_one_a_ground EXCLUDE USING gist (network_id WITH =, round_id WITH =, ground_id WITH =)
        WHERE (state = 'asked'),
    CONSTRAINT round_requests_need CHECK (need BETWEEN 1 AND 5),
    CONSTRAINT round_requests_depth CHECK (depth_mm BETWEEN 1 AND 1000),
    CONSTRAINT round_requests_set_up CHECK (set_up_min BETWEEN 0 AND 240),
    CONSTRAINT round_requests_tractor_known CHECK (tractor IN ('own', 'neighbour')),
    CONSTRAINT round_requests_tractor_kw CHECK (tractor_kw > 0 AND tractor_kw < 1000),
    CONSTRAINT round_requests_tractor_or_helper CHECK (
        CASE WHEN tractor = 'own' THEN tractor_kw IS NOT NULL AND helper_club_id IS NULL
             ELSE tractor_kw IS NULL AND helper_club_id IS NOT NULL AND helper_club_id <> club_id END
    ),
    CONSTRAINT round_requests_state_known CHECK (state IN ('asked', 'withdrawn'))
);
CREATE INDEX round_requests_by_round ON round_requests (network_id, round_id, state);
COMMENT ON TABLE round_requests IS 'A club''s wish for a place in a round.';
COMMENT ON COLUMN round_requests.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN round_requests.id IS 'UUIDv7.';
COMMENT ON COLUMN round_requests.round_id IS 'Which round.';
COMMENT ON COLUMN round_requests.club_id IS 'Whose wish.';
COMMENT ON COLUMN round_requests.ground_id IS 'Where the work is.';
COMMENT ON COLUMN round_requests.need IS '1 (would be nice) to 5 (cannot play without).';
COMMENT ON COLUMN round_requests.depth_mm IS 'Depth the club wants worked; null for whatever the machine does.';
COMMENT ON COLUMN round_requests.set_up_min IS 'Minutes to couple, set and clean, on top of the work.';
COMMENT ON COLUMN round_requests.tractor IS 'own, or neighbour (lent, with operator).';
COMMENT ON COLUMN round_requests.tractor_kw IS 'Power of the own tractor; null when lent.';
COMMENT ON COLUMN round_requests.helper_club_id IS 'The neighbour who lends tractor and operator; null when own.';
COMMENT ON COLUMN round_requests.note IS 'Free text.';
COMMENT ON COLUMN round_requests.state IS 'asked or withdrawn.';
COMMENT ON COLUMN round_requests.asked_by IS 'Who asked or changed it last.';
COMMENT ON COLUMN round_requests.version IS 'Counts changes; the ETag of what people edit together.';
COMMENT ON COLUMN round_requests.created_at IS 'When it was made.';

ALTER TABLE round_requests ENABLE ROW LEVEL SECURITY;
ALTER TABLE round_requests FORCE ROW LEVEL SECURITY;
CREATE POLICY round_requests_own_network ON round_requests USING (network_id = current_network());

CREATE TABLE request_pitches (
    network_id uuid NOT NULL REFERENCES networks (id),
    request_id uuid NOT NULL,
    club_id uuid NOT NULL,
    pitch_id uuid NOT NULL,
    PRIMARY KEY (network_id, request_id, pitch_id),
    CONSTRAINT request_pitches_request FOREIGN KEY (network_id, club_id, request_id) REFERENCES round_requests (network_id, club_id, id),
    CONSTRAINT request_pitches_pitch FOREIGN KEY (network_id, club_id, pitch_id) REFERENCES pitches (network_id, club_id, id)
);
COMMENT ON TABLE request_pitches IS 'The pitches a request is for: always of its club.';
COMMENT ON COLUMN request_pitches.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN request_pitches.request_id IS 'Which request.';
COMMENT ON COLUMN request_pitches.club_id IS 'The club of both.';
COMMENT ON COLUMN request_pitches.pitch_id IS 'Which pitch.';

ALTER TABLE request_pitches ENABLE ROW LEVEL SECURITY;
ALTER TABLE request_pitches FORCE ROW LEVEL SECURITY;
CREATE POLICY request_pitches_own_network ON request_pitches USING (network_id = current_network());

CREATE TABLE request_half_days (
    network_id uuid NOT NULL REFERENCES networks (id),
    request_id uuid NOT NULL,
    half_day timestamp NOT NULL,
    PRIMARY KEY (network_id, request_id, half_day),
    CONSTRAINT request_half_days_request FOREIGN KEY (network_id, request_id) REFERENCES round_requests (network_id, id),
    CONSTRAINT request_half_days_half_days CHECK (half_day::time IN ('00:00', '12:00'))
);
COMMENT ON TABLE request_half_days IS 'The half-days on which a request could be served.';
COMMENT ON COLUMN request_half_days.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN request_half_days.request_id IS 'Which request.';
COMMENT ON COLUMN request_half_days.half_day IS 'When the half-day begins, network-local.';

ALTER TABLE request_half_days ENABLE ROW LEVEL SECURITY;
ALTER TABLE request_half_days FORCE ROW LEVEL SECURITY;
CREATE POLICY request_half_days_own_network ON request_half_days USING (network_id = current_network());

CREATE TABLE request_wishes (
    network_id uuid NOT NULL REFERENCES networks (id),
    request_id uuid NOT NULL,
    rank integer NOT NULL,
    wish_on date NOT NULL,
    PRIMARY KEY (network_id, request_id, rank),
    CONSTRAINT request_wishes_day_once UNIQUE (network_id, request_id, wish_on),
    CONSTRAINT request_wishes_request FOREIGN KEY (network_id, request_id) REFERENCES round_requests (network_id, id),
    CONSTRAINT request_wishes_rank CHECK (rank BETWEEN 1 AND 4)
);
COMMENT ON TABLE request_wishes IS 'The days a club would like best, in order.';
COMMENT ON COLUMN request_wishes.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN request_wishes.request_id IS 'Which request.';
COMMENT ON COLUMN request_wishes.rank IS '1 is liked best.';
COMMENT ON COLUMN request_wishes.wish_on IS 'The day the machine comes.';

ALTER TABLE request_wishes ENABLE ROW LEVEL SECURITY;
ALTER TABLE request_wishes FORCE ROW LEVEL SECURITY;
CREATE POLICY request_wishes_own_network ON request_wishes USING (network_id = current_network());

CREATE FUNCTION round_requests_gate() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
    the_round record;
BEGIN
    -- The share lock waits for a closing under way and makes it wait for us.
    SELECT state, requests_close_at INTO the_round FROM rounds
        WHERE network_id = NEW.network_id AND id = NEW.round_id FOR SHARE;
    IF the_round.state <> 'gathering' OR clock_timestamp() >= the_round.requests_close_at THEN
        RAISE EXCEPTION 'the round no longer takes requests'
            USING ERRCODE = 'check_violation', CONSTRAINT = 'round_requests_gathering';
    END IF;
    RETURN NEW;
END
$$;
COMMENT ON FUNCTION round_requests_gate() IS 'Requests are made, changed and withdrawn only while their round gathers.';
CREATE TRIGGER round_requests_gate BEFORE INSERT OR UPDATE ON round_requests
    FOR EACH ROW EXECUTE FUNCTION round_requests_gate();

CREATE FUNCTION hired_time_gate() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF NEW.state NOT IN ('refused', 'cancelled', 'lapsed') AND EXISTS (
        SELECT FROM hires JOIN rounds ON rounds.network_id = hires.network_id AND rounds.id = hires.round_id
        WHERE hires.network_id = NEW.network_id AND hires.machine_id = NEW.machine_id AND hires.span && NEW.span
            AND rounds.state IN ('gathering', 'requests_closed', 'offered')
    ) THEN
        RAISE EXCEPTION 'a round decides who has the machine then'
            USING ERRCODE = 'check_violation', CONSTRAINT = 'bookings_ask_for_place';
    END IF;
    RETURN NEW;
END
$$;
COMMENT ON FUNCTION hired_time_gate() IS 'While a round is open its hired machines are not booked directly.';
CREATE TRIGGER bookings_hired_time_gate BEFORE INSERT OR UPDATE OF span, machine_id, state ON bookings
    FOR EACH ROW EXECUTE FUNCTION hired_time_gate();
