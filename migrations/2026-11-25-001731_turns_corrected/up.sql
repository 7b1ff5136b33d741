-- A round that is planned again after it was agreed turns out otherwise: the entry is countered by a later one.
ALTER TABLE turns
    DROP CONSTRAINT turns_once,
    ADD COLUMN counters uuid,
    ADD CONSTRAINT turns_of_request UNIQUE (network_id, request_id, id),
    ADD CONSTRAINT turns_counters FOREIGN KEY (network_id, request_id, counters) REFERENCES turns (network_id, request_id, id),
    ADD CONSTRAINT turns_countered_once UNIQUE (network_id, counters),
    ADD CONSTRAINT turns_once EXCLUDE USING gist (network_id WITH =, request_id WITH =) WHERE (counters IS NULL);
COMMENT ON COLUMN turns.counters IS 'The earlier entry of the same request this one takes the place of; null for the first.';
COMMENT ON TABLE turns IS 'The record of who had which days and who went without; entered when a round is agreed, never edited, only countered.';
