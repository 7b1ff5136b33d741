ALTER TABLE turns DISABLE TRIGGER turns_immutable;
DELETE FROM turns WHERE counters IS NOT NULL;
ALTER TABLE turns ENABLE TRIGGER turns_immutable;
ALTER TABLE turns
    DROP CONSTRAINT turns_once,
    DROP CONSTRAINT turns_countered_once,
    DROP CONSTRAINT turns_counters,
    DROP CONSTRAINT turns_of_request,
    DROP COLUMN counters,
    ADD CONSTRAINT turns_once UNIQUE (network_id, request_id);
COMMENT ON TABLE turns IS 'The record of who had which days and who went without; entered when a round is agreed, never edited.';
