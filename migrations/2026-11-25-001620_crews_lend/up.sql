ALTER TABLE round_crews ADD COLUMN lends boolean NOT NULL DEFAULT true;
COMMENT ON COLUMN round_crews.lends IS 'Whether a neighbour may ask with one of them.';
