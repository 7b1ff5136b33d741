DROP TRIGGER ground_closures_immutable ON ground_closures;
DROP FUNCTION lift_only();
ALTER TABLE ground_closures
    DROP CONSTRAINT ground_closures_half_days,
    DROP CONSTRAINT ground_closures_length,
    DROP CONSTRAINT ground_closures_no_overlap,
    ADD COLUMN until_on date NOT NULL DEFAULT '2000-01-01';
-- A day of which half is closed counts as closed. A change of type reaches rows that an update would not see.
ALTER TABLE ground_closures
    ALTER COLUMN until_on DROP DEFAULT,
    ALTER COLUMN until_on TYPE date USING (upper(span) - interval '12 hours')::date;
ALTER TABLE ground_closures RENAME COLUMN span TO from_on;
ALTER TABLE ground_closures
    ALTER COLUMN from_on TYPE date USING lower(from_on)::date,
    ADD CONSTRAINT ground_closures_days CHECK (until_on >= from_on AND until_on - from_on < 120),
    ADD CONSTRAINT ground_closures_no_overlap EXCLUDE USING gist (
        network_id WITH =, ground_id WITH =, daterange(from_on, until_on, '[]') WITH &&
    ) WHERE (lifted_at IS NULL);
COMMENT ON TABLE ground_closures IS 'Days on which no machine may go onto a ground.';
COMMENT ON COLUMN ground_closures.from_on IS 'First day closed.';
COMMENT ON COLUMN ground_closures.until_on IS 'Last day closed, itself closed.';
