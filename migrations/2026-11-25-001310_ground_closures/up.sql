CREATE TABLE ground_closures (
    network_id uuid NOT NULL REFERENCES networks (id),
    id uuid NOT NULL,
    club_id uuid NOT NULL,
    ground_id uuid NOT NULL,
    from_on date NOT NULL,
    until_on date NOT NULL,
    reason text NOT NULL,
    closed_by uuid NOT NULL REFERENCES people (id),
    closed_at timestamptz NOT NULL,
    lifted_at timestamptz,
    lifted_by uuid REFERENCES people (id),
    PRIMARY KEY (network_id, id),
    CONSTRAINT ground_closures_ground FOREIGN KEY (network_id, club_id, ground_id) REFERENCES grounds (network_id, club_id, id),
    CONSTRAINT ground_closures_days CHECK (until_on >= from_on AND until_on - from_on < 120),
    CONSTRAINT ground_closures_reason CHECK (char_length(reason) BETWEEN 1 AND 2000),
    CONSTRAINT ground_closures_lifted CHECK ((lifted_at IS NULL) = (lifted_by IS NULL)),
    CONSTRAINT ground_closures_no_overlap EXCLUDE USING gist (
        network_id WITH =, ground_id WITH =, daterange(from_on, until_on, '[]') WITH &&
    ) WHERE (lifted_at IS NULL)
);
COMMENT ON TABLE ground_closures IS 'Days on which no machine may go onto a ground.';
COMMENT ON COLUMN ground_closures.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN ground_closures.id IS 'UUIDv7.';
COMMENT ON COLUMN ground_closures.club_id IS 'The club of the ground.';
COMMENT ON COLUMN ground_closures.ground_id IS 'Which ground.';
COMMENT ON COLUMN ground_closures.from_on IS 'First day closed.';
COMMENT ON COLUMN ground_closures.until_on IS 'Last day closed, itself closed.';
COMMENT ON COLUMN ground_closures.reason IS 'Why, for everybody to read.';
COMMENT ON COLUMN ground_closures.closed_by IS 'Who closed it.';
COMMENT ON COLUMN ground_closures.closed_at IS 'When it was closed.';
COMMENT ON COLUMN ground_closures.lifted_at IS 'When it was opened again before its time; null while it counts.';
COMMENT ON COLUMN ground_closures.lifted_by IS 'Who opened it again.';

ALTER TABLE ground_closures ENABLE ROW LEVEL SECURITY;
ALTER TABLE ground_closures FORCE ROW LEVEL SECURITY;
CREATE POLICY ground_closures_own_network ON ground_closures USING (network_id = current_network());
