-- Bookings learn two states: an offer holds its span like a booking, and one that nobody took holds nothing.
ALTER TABLE bookings
    DROP CONSTRAINT bookings_no_overlap,
    DROP CONSTRAINT bookings_state_known,
    DROP CONSTRAINT bookings_within_availability;
ALTER TABLE bookings
    ADD COLUMN standing_id uuid,
    -- Deferrable, so that two bookings can change places within one transaction; checked at once unless it asks.
    ADD CONSTRAINT bookings_no_overlap EXCLUDE USING gist (network_id WITH =, machine_id WITH =, held WITH &&)
        WHERE (state IN ('offered', 'asked', 'agreed')) DEFERRABLE INITIALLY IMMEDIATE,
    ADD CONSTRAINT bookings_state_known
        CHECK (state IN ('offered', 'asked', 'agreed', 'refused', 'cancelled', 'lapsed')),
    ADD CONSTRAINT bookings_within_availability CHECK (
        state IN ('refused', 'cancelled', 'lapsed')
        OR (availability_id IS NOT NULL AND available IS NOT NULL AND span <@ available)
    );
COMMENT ON COLUMN bookings.state IS
    'offered (to the first on the waiting list, holds the span), asked (waits for the coordinator, holds the span), agreed, refused, cancelled, lapsed (an offer nobody took).';
COMMENT ON COLUMN bookings.availability_id IS 'The availability it lies in; null once it holds nothing.';
COMMENT ON COLUMN bookings.standing_id IS 'The standing booking it is an occurrence of, if it is one.';

CREATE TABLE standing_bookings (
    network_id uuid NOT NULL REFERENCES networks (id),
    id uuid NOT NULL,
    machine_id uuid NOT NULL,
    club_id uuid NOT NULL,
    first_span tsrange NOT NULL,
    rule text NOT NULL,
    except_on date[] NOT NULL DEFAULT '{}',
    note text NOT NULL DEFAULT '',
    made_by uuid NOT NULL REFERENCES people (id),
    ended_from date,
    created_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (network_id, id),
    CONSTRAINT standing_bookings_of_club UNIQUE (network_id, club_id, id),
    CONSTRAINT standing_bookings_machine FOREIGN KEY (network_id, machine_id) REFERENCES machines (network_id, id),
    CONSTRAINT standing_bookings_club FOREIGN KEY (network_id, club_id) REFERENCES clubs (network_id, id),
    CONSTRAINT standing_bookings_half_days CHECK (
        NOT isempty(first_span) AND lower_inc(first_span) AND NOT upper_inc(first_span)
        AND lower(first_span)::time IN ('00:00', '12:00') AND upper(first_span)::time IN ('00:00', '12:00')
    ),
    CONSTRAINT standing_bookings_rule CHECK (rule <> '')
);
COMMENT ON TABLE standing_bookings IS 'A machine booked again and again by a rule; each occurrence is an ordinary booking.';
COMMENT ON COLUMN standing_bookings.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN standing_bookings.id IS 'UUIDv7.';
COMMENT ON COLUMN standing_bookings.machine_id IS 'Which machine.';
COMMENT ON COLUMN standing_bookings.club_id IS 'Who holds it.';
COMMENT ON COLUMN standing_bookings.first_span IS 'Where the rule begins to count, and how long each occurrence is: half-days of local time.';
COMMENT ON COLUMN standing_bookings.rule IS 'Recurrence rule (RFC 5545, section 3.3.10), in dates.';
COMMENT ON COLUMN standing_bookings.except_on IS 'Dates the rule would give and that are left out (RFC 5545, section 3.8.5.1).';
COMMENT ON COLUMN standing_bookings.note IS 'Free text, copied to each booking.';
COMMENT ON COLUMN standing_bookings.made_by IS 'Who made it.';
COMMENT ON COLUMN standing_bookings.ended_from IS 'From this date on it was given up; null while it stands.';
COMMENT ON COLUMN standing_bookings.created_at IS 'When it was made.';

ALTER TABLE standing_bookings ENABLE ROW LEVEL SECURITY;
ALTER TABLE standing_bookings FORCE ROW LEVEL SECURITY;
CREATE POLICY standing_bookings_own_network ON standing_bookings USING (network_id = current_network());

ALTER TABLE bookings ADD CONSTRAINT bookings_standing
    FOREIGN KEY (network_id, club_id, standing_id) REFERENCES standing_bookings (network_id, club_id, id);
CREATE INDEX bookings_by_standing ON bookings (network_id, standing_id) WHERE standing_id IS NOT NULL;

CREATE TABLE waiting (
    network_id uuid NOT NULL REFERENCES networks (id),
    id uuid NOT NULL,
    machine_id uuid NOT NULL,
    club_id uuid NOT NULL,
    span tsrange NOT NULL,
    place bigint NOT NULL GENERATED ALWAYS AS IDENTITY,
    state text NOT NULL,
    booking_id uuid,
    offered_until timestamptz,
    note text NOT NULL DEFAULT '',
    joined_by uuid NOT NULL REFERENCES people (id),
    joined_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (network_id, id),
    CONSTRAINT waiting_of_club UNIQUE (network_id, club_id, id),
    CONSTRAINT waiting_machine FOREIGN KEY (network_id, machine_id) REFERENCES machines (network_id, id),
    CONSTRAINT waiting_club FOREIGN KEY (network_id, club_id) REFERENCES clubs (network_id, id),
    CONSTRAINT waiting_booking FOREIGN KEY (network_id, club_id, booking_id) REFERENCES bookings (network_id, club_id, id),
    CONSTRAINT waiting_booking_once UNIQUE (network_id, booking_id),
    CONSTRAINT waiting_half_days CHECK (
        NOT isempty(span) AND lower_inc(span) AND NOT upper_inc(span)
        AND lower(span)::time IN ('00:00', '12:00') AND upper(span)::time IN ('00:00', '12:00')
    ),
    CONSTRAINT waiting_state_known CHECK (state IN ('waiting', 'offered', 'taken', 'lapsed', 'left')),
    CONSTRAINT waiting_offer_whole CHECK (
        CASE state
            WHEN 'waiting' THEN booking_id IS NULL AND offered_until IS NULL
            WHEN 'left' THEN true
            ELSE booking_id IS NOT NULL AND offered_until IS NOT NULL
        END
    )
);
CREATE UNIQUE INDEX waiting_once ON waiting (network_id, machine_id, club_id, span)
    WHERE state IN ('waiting', 'offered');
CREATE INDEX waiting_in_line ON waiting (network_id, machine_id, place) WHERE state IN ('waiting', 'offered');
COMMENT ON TABLE waiting IS 'Clubs that would have a machine for a span that is taken, in the order in which they joined.';
COMMENT ON COLUMN waiting.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN waiting.id IS 'UUIDv7.';
COMMENT ON COLUMN waiting.machine_id IS 'Which machine.';
COMMENT ON COLUMN waiting.club_id IS 'Who waits.';
COMMENT ON COLUMN waiting.span IS 'For which half-days of network-local time, half-open.';
COMMENT ON COLUMN waiting.place IS 'The order of joining; counted while the machine''s row is held.';
COMMENT ON COLUMN waiting.state IS 'waiting, offered (the booking holds the span until then), taken, lapsed, left.';
COMMENT ON COLUMN waiting.booking_id IS 'The offer: a booking in the state offered; then what became of it.';
COMMENT ON COLUMN waiting.offered_until IS 'Until when the offer holds.';
COMMENT ON COLUMN waiting.note IS 'Free text, copied to the booking.';
COMMENT ON COLUMN waiting.joined_by IS 'Who joined.';
COMMENT ON COLUMN waiting.joined_at IS 'When.';

ALTER TABLE waiting ENABLE ROW LEVEL SECURITY;
ALTER TABLE waiting FORCE ROW LEVEL SECURITY;
CREATE POLICY waiting_own_network ON waiting USING (network_id = current_network());

CREATE TABLE waiting_pitches (
    network_id uuid NOT NULL REFERENCES networks (id),
    waiting_id uuid NOT NULL,
    pitch_id uuid NOT NULL,
    club_id uuid NOT NULL,
    PRIMARY KEY (network_id, waiting_id, pitch_id),
    CONSTRAINT waiting_pitches_waiting FOREIGN KEY (network_id, club_id, waiting_id) REFERENCES waiting (network_id, club_id, id),
    CONSTRAINT waiting_pitches_pitch FOREIGN KEY (network_id, club_id, pitch_id) REFERENCES pitches (network_id, club_id, id)
);
COMMENT ON TABLE waiting_pitches IS 'The pitches a club waits for: always its own.';
COMMENT ON COLUMN waiting_pitches.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN waiting_pitches.waiting_id IS 'Which place on the list.';
COMMENT ON COLUMN waiting_pitches.pitch_id IS 'Which pitch.';
COMMENT ON COLUMN waiting_pitches.club_id IS 'The club of both.';

ALTER TABLE waiting_pitches ENABLE ROW LEVEL SECURITY;
ALTER TABLE waiting_pitches FORCE ROW LEVEL SECURITY;
CREATE POLICY waiting_pitches_own_network ON waiting_pitches USING (network_id = current_network());

CREATE TABLE swaps (
    network_id uuid NOT NULL REFERENCES networks (id),
    id uuid NOT NULL,
    given_club_id uuid NOT NULL,
    given_booking_id uuid NOT NULL,
    given_version integer NOT NULL,
    wanted_club_id uuid NOT NULL,
    wanted_booking_id uuid NOT NULL,
    wanted_version integer NOT NULL,
    state text NOT NULL,
    note text NOT NULL DEFAULT '',
    proposed_by uuid NOT NULL REFERENCES people (id),
    created_at timestamptz NOT NULL DEFAULT now(),
    answered_at timestamptz,
    PRIMARY KEY (network_id, id),
    CONSTRAINT swaps_given FOREIGN KEY (network_id, given_club_id, given_booking_id)
        REFERENCES bookings (network_id, club_id, id),
    CONSTRAINT swaps_wanted FOREIGN KEY (network_id, wanted_club_id, wanted_booking_id)
        REFERENCES bookings (network_id, club_id, id),
    CONSTRAINT swaps_two_clubs CHECK (given_club_id <> wanted_club_id),
    CONSTRAINT swaps_state_known CHECK (state IN ('proposed', 'accepted', 'declined', 'withdrawn', 'lapsed')),
    CONSTRAINT swaps_answered CHECK ((state = 'proposed') = (answered_at IS NULL))
);
CREATE UNIQUE INDEX swaps_once ON swaps (network_id, given_booking_id, wanted_booking_id) WHERE state = 'proposed';
CREATE INDEX swaps_by_given ON swaps (network_id, given_booking_id);
CREATE INDEX swaps_by_wanted ON swaps (network_id, wanted_booking_id);
COMMENT ON TABLE swaps IS 'A club proposes to another that their bookings change places.';
COMMENT ON COLUMN swaps.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN swaps.id IS 'UUIDv7.';
COMMENT ON COLUMN swaps.given_club_id IS 'Who proposes.';
COMMENT ON COLUMN swaps.given_booking_id IS 'What it would give.';
COMMENT ON COLUMN swaps.given_version IS 'As it was then; a change since lapses the proposal.';
COMMENT ON COLUMN swaps.wanted_club_id IS 'Who answers.';
COMMENT ON COLUMN swaps.wanted_booking_id IS 'What the proposer would have instead.';
COMMENT ON COLUMN swaps.wanted_version IS 'As it was then; a change since lapses the proposal.';
COMMENT ON COLUMN swaps.state IS 'proposed, accepted, declined, withdrawn, lapsed.';
COMMENT ON COLUMN swaps.note IS 'What the proposer says with it.';
COMMENT ON COLUMN swaps.proposed_by IS 'Who proposed.';
COMMENT ON COLUMN swaps.created_at IS 'When.';
COMMENT ON COLUMN swaps.answered_at IS 'When it was answered, withdrawn or found lapsed; null while it stands.';

ALTER TABLE swaps ENABLE ROW LEVEL SECURITY;
ALTER TABLE swaps FORCE ROW LEVEL SECURITY;
CREATE POLICY swaps_own_network ON swaps USING (network_id = current_network());
