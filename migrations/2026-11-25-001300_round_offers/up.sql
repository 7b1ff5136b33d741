-- A booking made by a round knows the request it serves, wherever it is moved later.
ALTER TABLE bookings
    ADD COLUMN round_id uuid,
    ADD COLUMN request_id uuid,
    ADD CONSTRAINT bookings_round_whole CHECK ((round_id IS NULL) = (request_id IS NULL)),
    ADD CONSTRAINT bookings_round FOREIGN KEY (network_id, round_id, request_id)
        REFERENCES round_requests (network_id, round_id, id),
    ADD CONSTRAINT bookings_request FOREIGN KEY (network_id, club_id, request_id)
        REFERENCES round_requests (network_id, club_id, id);
CREATE UNIQUE INDEX bookings_one_a_request ON bookings (network_id, request_id)
    WHERE state IN ('asked', 'agreed') AND request_id IS NOT NULL;
CREATE INDEX bookings_by_round ON bookings (network_id, round_id) WHERE round_id IS NOT NULL;
COMMENT ON COLUMN bookings.round_id IS 'The round that made it; null for a booking made directly.';
COMMENT ON COLUMN bookings.request_id IS 'The request it serves; null for a booking made directly.';

CREATE TABLE round_offers (
    network_id uuid NOT NULL REFERENCES networks (id),
    id uuid NOT NULL,
    round_id uuid NOT NULL,
    plan_id uuid NOT NULL,
    request_id uuid NOT NULL,
    club_id uuid NOT NULL,
    machine_id uuid NOT NULL,
    span tsrange NOT NULL,
    crew_club_id uuid NOT NULL,
    wish_rank integer,
    expected_pence bigint,
    state text NOT NULL DEFAULT 'offered',
    answer_by timestamptz NOT NULL,
    answered_at timestamptz,
    answered_by uuid REFERENCES people (id),
    reason text NOT NULL DEFAULT '',
    booking_id uuid,
    offered_at timestamptz NOT NULL,
    PRIMARY KEY (network_id, id),
    CONSTRAINT round_offers_round FOREIGN KEY (network_id, round_id) REFERENCES rounds (network_id, id),
    CONSTRAINT round_offers_plan FOREIGN KEY (network_id, round_id, plan_id) REFERENCES round_plans (network_id, round_id, id),
    CONSTRAINT round_offers_of_round FOREIGN KEY (network_id, round_id, request_id)
        REFERENCES round_requests (network_id, round_id, id),
    CONSTRAINT round_offers_of_club FOREIGN KEY (network_id, club_id, request_id)
        REFERENCES round_requests (network_id, club_id, id),
    CONSTRAINT round_offers_machine FOREIGN KEY (network_id, round_id, machine_id)
        REFERENCES round_machines (network_id, round_id, machine_id),
    CONSTRAINT round_offers_crew FOREIGN KEY (network_id, crew_club_id) REFERENCES clubs (network_id, id),
    CONSTRAINT round_offers_booking FOREIGN KEY (network_id, club_id, booking_id)
        REFERENCES bookings (network_id, club_id, id),
    CONSTRAINT round_offers_half_days CHECK (
        NOT isempty(span) AND lower_inc(span) AND NOT upper_inc(span)
        AND lower(span)::time IN ('00:00', '12:00') AND upper(span)::time IN ('00:00', '12:00')
    ),
    CONSTRAINT round_offers_state_known CHECK (
        state IN ('offered', 'accepted', 'declined', 'lapsed', 'booked', 'withdrawn')
    ),
    CONSTRAINT round_offers_answered CHECK (
        (answered_at IS NULL) = (answered_by IS NULL)
        AND (state NOT IN ('accepted', 'declined', 'booked') OR answered_at IS NOT NULL)
        AND (state NOT IN ('offered', 'lapsed') OR answered_at IS NULL)
    ),
    CONSTRAINT round_offers_booked CHECK ((state = 'booked') = (booking_id IS NOT NULL)),
    CONSTRAINT round_offers_one_a_request EXCLUDE USING gist (network_id WITH =, request_id WITH =)
        WHERE (state IN ('offered', 'accepted', 'booked')),
    CONSTRAINT round_offers_no_overlap EXCLUDE USING gist (network_id WITH =, machine_id WITH =, span WITH &&)
        WHERE (state IN ('offered', 'accepted'))
);
CREATE INDEX round_offers_by_round ON round_offers (network_id, round_id);
CREATE INDEX round_offers_by_club ON round_offers (network_id, club_id, state);
COMMENT ON TABLE round_offers IS 'A place of a planned round, offered to the club that asked for it.';
COMMENT ON COLUMN round_offers.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN round_offers.id IS 'UUIDv7.';
COMMENT ON COLUMN round_offers.round_id IS 'Which round.';
COMMENT ON COLUMN round_offers.plan_id IS 'The plan that gave the place.';
COMMENT ON COLUMN round_offers.request_id IS 'The request it serves.';
COMMENT ON COLUMN round_offers.club_id IS 'To whom.';
COMMENT ON COLUMN round_offers.machine_id IS 'Which machine.';
COMMENT ON COLUMN round_offers.span IS 'Half-days of network-local time, half-open.';
COMMENT ON COLUMN round_offers.crew_club_id IS 'Whose tractor and operator: the club itself or the neighbour who lends.';
COMMENT ON COLUMN round_offers.wish_rank IS 'Which of its wishes it got, 1 for the first; null for a day that was only allowed.';
COMMENT ON COLUMN round_offers.expected_pence IS 'The expected share of the hire when it was offered; null where nobody can say.';
COMMENT ON COLUMN round_offers.state IS 'offered, accepted, declined, lapsed, booked, withdrawn.';
COMMENT ON COLUMN round_offers.answer_by IS 'Until when it can be answered.';
COMMENT ON COLUMN round_offers.answered_at IS 'When it was accepted or declined.';
COMMENT ON COLUMN round_offers.answered_by IS 'Who accepted or declined.';
COMMENT ON COLUMN round_offers.reason IS 'What the club said when declining.';
COMMENT ON COLUMN round_offers.booking_id IS 'The booking it became.';
COMMENT ON COLUMN round_offers.offered_at IS 'When it was offered.';

ALTER TABLE round_offers ENABLE ROW LEVEL SECURITY;
ALTER TABLE round_offers FORCE ROW LEVEL SECURITY;
CREATE POLICY round_offers_own_network ON round_offers USING (network_id = current_network());
