-- Grounds are closed by half-days, as machines are booked; and what was closed stays on record.
ALTER TABLE ground_closures
    DROP CONSTRAINT ground_closures_days,
    DROP CONSTRAINT ground_closures_no_overlap;
-- A change of type and not an update: row-level security would hide the rows of every network from an update.
ALTER TABLE ground_closures
    ALTER COLUMN from_on TYPE tsrange USING tsrange(from_on::timestamp, (until_on + 1)::timestamp);
ALTER TABLE ground_closures RENAME COLUMN from_on TO span;
ALTER TABLE ground_closures
    DROP COLUMN until_on,
    ADD CONSTRAINT ground_closures_half_days CHECK (
        NOT isempty(span) AND lower_inc(span) AND NOT upper_inc(span)
        AND lower(span)::time IN ('00:00', '12:00') AND upper(span)::time IN ('00:00', '12:00')
    ),
    ADD CONSTRAINT ground_closures_length CHECK (upper(span) - lower(span) <= interval '120 days'),
    ADD CONSTRAINT ground_closures_no_overlap EXCLUDE USING gist (network_id WITH =, ground_id WITH =, span WITH &&)
        WHERE (lifted_at IS NULL);
COMMENT ON TABLE ground_closures IS 'Half-days on which no machine may go onto a ground.';
COMMENT ON COLUMN ground_closures.span IS 'Half-days of network-local time, half-open.';

CREATE FUNCTION lift_only() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF TG_OP = 'UPDATE' AND OLD.lifted_at IS NULL AND NEW.lifted_at IS NOT NULL
        AND to_jsonb(NEW) - ARRAY['lifted_at', 'lifted_by'] = to_jsonb(OLD) - ARRAY['lifted_at', 'lifted_by'] THEN
        RETURN NEW;
    END IF;
    RAISE EXCEPTION '% is never edited, only lifted, once', TG_TABLE_NAME
        USING ERRCODE = 'check_violation', CONSTRAINT = TG_TABLE_NAME || '_immutable';
END
$$;
COMMENT ON FUNCTION lift_only() IS 'Trigger for tables whose rows stand as entered until they are lifted.';
CREATE TRIGGER ground_closures_immutable BEFORE UPDATE OR DELETE ON ground_closures
    FOR EACH ROW EXECUTE FUNCTION lift_only();
