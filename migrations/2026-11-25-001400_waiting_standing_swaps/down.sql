DROP TABLE swaps;
DROP TABLE waiting_pitches;
DROP TABLE waiting;
ALTER TABLE bookings
    DROP CONSTRAINT bookings_no_overlap,
    DROP CONSTRAINT bookings_state_known,
    DROP CONSTRAINT bookings_within_availability,
    DROP CONSTRAINT bookings_standing,
    DROP COLUMN standing_id;
DROP TABLE standing_bookings;
UPDATE bookings SET state = 'cancelled', availability_id = NULL, available = NULL WHERE state IN ('offered', 'lapsed');
ALTER TABLE bookings
    ADD CONSTRAINT bookings_no_overlap EXCLUDE USING gist (network_id WITH =, machine_id WITH =, held WITH &&)
        WHERE (state IN ('asked', 'agreed')),
    ADD CONSTRAINT bookings_state_known CHECK (state IN ('asked', 'agreed', 'refused', 'cancelled')),
    ADD CONSTRAINT bookings_within_availability CHECK (
        state IN ('refused', 'cancelled')
        OR (availability_id IS NOT NULL AND available IS NOT NULL AND span <@ available)
    );
COMMENT ON COLUMN bookings.state IS 'asked (waits for the coordinator, holds the span), agreed, refused, cancelled.';
COMMENT ON COLUMN bookings.availability_id IS 'The availability it lies in; null once refused or cancelled.';
