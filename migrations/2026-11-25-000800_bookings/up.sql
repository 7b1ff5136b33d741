CREATE TABLE bookings (
    network_id uuid NOT NULL REFERENCES networks (id),
    id uuid NOT NULL,
    machine_id uuid NOT NULL,
    club_id uuid NOT NULL,
    span tsrange NOT NULL,
    gap_half_days integer NOT NULL,
    held tsrange NOT NULL GENERATED ALWAYS AS (
        tsrange(lower(span), upper(span) + gap_half_days * interval '12 hours', '[)')
    ) STORED,
    availability_id uuid,
    available tsrange,
    state text NOT NULL,
    charge_pence bigint NOT NULL,
    note text NOT NULL DEFAULT '',
    booked_by uuid NOT NULL REFERENCES people (id),
    answer_reason text,
    version integer NOT NULL DEFAULT 1,
    created_at timestamptz NOT NULL DEFAULT now(),
    changed_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (network_id, id),
    CONSTRAINT bookings_of_club UNIQUE (network_id, club_id, id),
    CONSTRAINT bookings_machine FOREIGN KEY (network_id, machine_id) REFERENCES machines (network_id, id),
    CONSTRAINT bookings_club FOREIGN KEY (network_id, club_id) REFERENCES clubs (network_id, id),
    CONSTRAINT bookings_availability FOREIGN KEY (network_id, machine_id, availability_id, available)
        REFERENCES machine_availabilities (network_id, machine_id, id, span) ON UPDATE CASCADE,
    CONSTRAINT bookings_no_overlap EXCLUDE USING gist (network_id WITH =, machine_id WITH =, held WITH &&)
        WHERE (state IN ('asked', 'agreed')),
    CONSTRAINT bookings_half_days CHECK (
        NOT isempty(span) AND lower_inc(span) AND NOT upper_inc(span)
        AND lower(span)::time IN ('00:00', '12:00') AND upper(span)::time IN ('00:00', '12:00')
    ),
    CONSTRAINT bookings_state_known CHECK (state IN ('asked', 'agreed', 'refused', 'cancelled')),
    CONSTRAINT bookings_within_availability CHECK (
        state IN ('refused', 'cancelled')
        OR (availability_id IS NOT NULL AND available IS NOT NULL AND span <@ available)
    ),
    CONSTRAINT bookings_charge CHECK (charge_pence >= 0)
);
CREATE INDEX bookings_by_club ON bookings (network_id, club_id, lower(span));
COMMENT ON TABLE bookings IS 'A club holds a machine for half-days; nobody else can.';
COMMENT ON COLUMN bookings.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN bookings.id IS 'UUIDv7.';
COMMENT ON COLUMN bookings.machine_id IS 'Which machine.';
COMMENT ON COLUMN bookings.club_id IS 'Who holds it.';
COMMENT ON COLUMN bookings.span IS 'Half-days of network-local time, half-open.';
COMMENT ON COLUMN bookings.gap_half_days IS 'The machine''s handover gap when it was booked.';
COMMENT ON COLUMN bookings.held IS 'The span and the handover gap after it: what no other booking may touch.';
COMMENT ON COLUMN bookings.availability_id IS 'The availability it lies in; null once refused or cancelled.';
COMMENT ON COLUMN bookings.available IS 'That availability''s span, kept equal by the foreign key so that a check can compare.';
COMMENT ON COLUMN bookings.state IS 'asked (waits for the coordinator, holds the span), agreed, refused, cancelled.';
COMMENT ON COLUMN bookings.charge_pence IS 'By the machine''s charge rules when it was booked or moved.';
COMMENT ON COLUMN bookings.note IS 'Free text.';
COMMENT ON COLUMN bookings.booked_by IS 'Who booked.';
COMMENT ON COLUMN bookings.answer_reason IS 'What the coordinator said when refusing.';
COMMENT ON COLUMN bookings.version IS 'Counts changes; the ETag of what people edit together.';
COMMENT ON COLUMN bookings.created_at IS 'When it was made.';
COMMENT ON COLUMN bookings.changed_at IS 'When it was last made, moved, answered or cancelled; calendars say it.';

ALTER TABLE bookings ENABLE ROW LEVEL SECURITY;
ALTER TABLE bookings FORCE ROW LEVEL SECURITY;
CREATE POLICY bookings_own_network ON bookings USING (network_id = current_network());

CREATE TABLE booking_pitches (
    network_id uuid NOT NULL REFERENCES networks (id),
    booking_id uuid NOT NULL,
    pitch_id uuid NOT NULL,
    club_id uuid NOT NULL,
    PRIMARY KEY (network_id, booking_id, pitch_id),
    CONSTRAINT booking_pitches_booking FOREIGN KEY (network_id, club_id, booking_id) REFERENCES bookings (network_id, club_id, id),
    CONSTRAINT booking_pitches_pitch FOREIGN KEY (network_id, club_id, pitch_id) REFERENCES pitches (network_id, club_id, id)
);
COMMENT ON TABLE booking_pitches IS 'The pitches a booking is for: always the booking club''s own.';
COMMENT ON COLUMN booking_pitches.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN booking_pitches.booking_id IS 'Which booking.';
COMMENT ON COLUMN booking_pitches.pitch_id IS 'Which pitch.';
COMMENT ON COLUMN booking_pitches.club_id IS 'The club of both.';

ALTER TABLE booking_pitches ENABLE ROW LEVEL SECURITY;
ALTER TABLE booking_pitches FORCE ROW LEVEL SECURITY;
CREATE POLICY booking_pitches_own_network ON booking_pitches USING (network_id = current_network());

CREATE TABLE calendar_feeds (
    network_id uuid NOT NULL REFERENCES networks (id),
    id uuid NOT NULL,
    club_id uuid,
    machine_id uuid,
    secret text NOT NULL,
    created_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (network_id, id),
    CONSTRAINT calendar_feeds_club_once UNIQUE (network_id, club_id),
    CONSTRAINT calendar_feeds_machine_once UNIQUE (network_id, machine_id),
    CONSTRAINT calendar_feeds_secret_once UNIQUE (network_id, secret),
    CONSTRAINT calendar_feeds_club FOREIGN KEY (network_id, club_id) REFERENCES clubs (network_id, id),
    CONSTRAINT calendar_feeds_machine FOREIGN KEY (network_id, machine_id) REFERENCES machines (network_id, id),
    CONSTRAINT calendar_feeds_of_one CHECK (num_nonnulls(club_id, machine_id) = 1)
);
COMMENT ON TABLE calendar_feeds IS 'The secret address of a club''s or machine''s calendar; replaced when it has leaked.';
COMMENT ON COLUMN calendar_feeds.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN calendar_feeds.id IS 'UUIDv7.';
COMMENT ON COLUMN calendar_feeds.club_id IS 'Bookings of this club, or';
COMMENT ON COLUMN calendar_feeds.machine_id IS 'bookings of this machine.';
COMMENT ON COLUMN calendar_feeds.secret IS 'The address; shown to members, so kept readable.';
COMMENT ON COLUMN calendar_feeds.created_at IS 'When it was made or replaced.';

ALTER TABLE calendar_feeds ENABLE ROW LEVEL SECURITY;
ALTER TABLE calendar_feeds FORCE ROW LEVEL SECURITY;
CREATE POLICY calendar_feeds_own_network ON calendar_feeds USING (network_id = current_network());
