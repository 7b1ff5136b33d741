CREATE TABLE schemes (
    network_id uuid NOT NULL REFERENCES networks (id),
    id uuid NOT NULL,
    version integer NOT NULL,
    note text NOT NULL DEFAULT '',
    created_by uuid REFERENCES people (id),
    created_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (network_id, id),
    CONSTRAINT schemes_version_once UNIQUE (network_id, version),
    CONSTRAINT schemes_version_counts CHECK (version >= 1)
);
COMMENT ON TABLE schemes IS 'A version of the network''s scoring scheme; the highest version is current.';
COMMENT ON COLUMN schemes.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN schemes.id IS 'UUIDv7.';
COMMENT ON COLUMN schemes.version IS 'Counts up; an edit makes the next one.';
COMMENT ON COLUMN schemes.note IS 'Why it was changed.';
COMMENT ON COLUMN schemes.created_by IS 'The coordinator; null for the scheme a network starts with.';
COMMENT ON COLUMN schemes.created_at IS 'When.';

ALTER TABLE schemes ENABLE ROW LEVEL SECURITY;
ALTER TABLE schemes FORCE ROW LEVEL SECURITY;
CREATE POLICY schemes_own_network ON schemes USING (network_id = current_network());

CREATE TRIGGER schemes_immutable BEFORE UPDATE OR DELETE ON schemes FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE TABLE scheme_criteria (
    network_id uuid NOT NULL REFERENCES networks (id),
    scheme_id uuid NOT NULL,
    criterion text NOT NULL,
    weight double precision NOT NULL,
    points jsonb NOT NULL,
    PRIMARY KEY (network_id, scheme_id, criterion),
    CONSTRAINT scheme_criteria_scheme FOREIGN KEY (network_id, scheme_id) REFERENCES schemes (network_id, id),
    CONSTRAINT scheme_criteria_known CHECK (criterion IN ('ground_cover', 'live_weeds', 'bare_ground', 'sward_height', 'evenness', 'root_depth', 'stick_penetration', 'hardness', 'infiltration')),
    CONSTRAINT scheme_criteria_weight CHECK (weight > 0 AND weight <= 1000),
    CONSTRAINT scheme_criteria_points CHECK (jsonb_typeof(points) = 'array' AND jsonb_array_length(points) >= 2)
);
COMMENT ON TABLE scheme_criteria IS 'How a scheme turns the mean of a criterion into 0 to 100, and how much it counts.';
COMMENT ON COLUMN scheme_criteria.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN scheme_criteria.scheme_id IS 'Which scheme.';
COMMENT ON COLUMN scheme_criteria.criterion IS 'What is measured.';
COMMENT ON COLUMN scheme_criteria.weight IS 'Relative weight; normalised over the criteria measured.';
COMMENT ON COLUMN scheme_criteria.points IS 'Array of [measured, score], measured rising; straight lines between, flat outside.';

ALTER TABLE scheme_criteria ENABLE ROW LEVEL SECURITY;
ALTER TABLE scheme_criteria FORCE ROW LEVEL SECURITY;
CREATE POLICY scheme_criteria_own_network ON scheme_criteria USING (network_id = current_network());

CREATE TRIGGER scheme_criteria_immutable BEFORE UPDATE OR DELETE ON scheme_criteria FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE TABLE walks (
    network_id uuid NOT NULL REFERENCES networks (id),
    id uuid NOT NULL,
    club_id uuid NOT NULL,
    pitch_id uuid NOT NULL,
    walked_on date NOT NULL,
    walked_by uuid NOT NULL REFERENCES people (id),
    scheme_id uuid NOT NULL,
    score double precision NOT NULL,
    score_se double precision NOT NULL,
    note text NOT NULL DEFAULT '',
    created_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (network_id, id),
    CONSTRAINT walks_pitch FOREIGN KEY (network_id, club_id, pitch_id) REFERENCES pitches (network_id, club_id, id),
    CONSTRAINT walks_scheme FOREIGN KEY (network_id, scheme_id) REFERENCES schemes (network_id, id),
    CONSTRAINT walks_score CHECK (score BETWEEN 0 AND 100 AND score_se >= 0)
);
CREATE INDEX walks_of_pitch ON walks (network_id, pitch_id, walked_on DESC, id DESC);
COMMENT ON TABLE walks IS 'An assessment visit to a pitch; never edited.';
COMMENT ON COLUMN walks.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN walks.id IS 'UUIDv7, minted by the phone or by the server.';
COMMENT ON COLUMN walks.club_id IS 'The club of the pitch.';
COMMENT ON COLUMN walks.pitch_id IS 'Which pitch.';
COMMENT ON COLUMN walks.walked_on IS 'Local date of the visit.';
COMMENT ON COLUMN walks.walked_by IS 'Who walked.';
COMMENT ON COLUMN walks.scheme_id IS 'The scheme version it was scored with.';
COMMENT ON COLUMN walks.score IS '0 to 100 by that scheme.';
COMMENT ON COLUMN walks.score_se IS 'Standard error of the score.';
COMMENT ON COLUMN walks.note IS 'Free text.';
COMMENT ON COLUMN walks.created_at IS 'When it arrived.';

ALTER TABLE walks ENABLE ROW LEVEL SECURITY;
ALTER TABLE walks FORCE ROW LEVEL SECURITY;
CREATE POLICY walks_own_network ON walks USING (network_id = current_network());

CREATE TRIGGER walks_immutable BEFORE UPDATE OR DELETE ON walks FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE TABLE readings (
    network_id uuid NOT NULL REFERENCES networks (id),
    walk_id uuid NOT NULL,
    criterion text NOT NULL,
    point smallint NOT NULL,
    value double precision NOT NULL,
    PRIMARY KEY (network_id, walk_id, criterion, point),
    CONSTRAINT readings_walk FOREIGN KEY (network_id, walk_id) REFERENCES walks (network_id, id),
    CONSTRAINT readings_criterion_known CHECK (criterion IN ('ground_cover', 'live_weeds', 'bare_ground', 'sward_height', 'evenness', 'root_depth', 'stick_penetration', 'hardness', 'infiltration')),
    CONSTRAINT readings_point CHECK (point BETWEEN 1 AND 200),
    CONSTRAINT readings_value CHECK (
        value >= 0 AND value <= CASE WHEN criterion IN ('ground_cover', 'live_weeds', 'bare_ground') THEN 100 ELSE 10000 END
    )
);
COMMENT ON TABLE readings IS 'A measured value at a point of the pitch; never edited.';
COMMENT ON COLUMN readings.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN readings.walk_id IS 'Of which walk.';
COMMENT ON COLUMN readings.criterion IS 'What was measured.';
COMMENT ON COLUMN readings.point IS 'The how-manieth reading of this criterion in the walk, from 1.';
COMMENT ON COLUMN readings.value IS 'In the criterion''s unit: %, mm, cm, g or mm/h.';

ALTER TABLE readings ENABLE ROW LEVEL SECURITY;
ALTER TABLE readings FORCE ROW LEVEL SECURITY;
CREATE POLICY readings_own_network ON readings USING (network_id = current_network());

CREATE TRIGGER readings_immutable BEFORE UPDATE OR DELETE ON readings FOR EACH ROW EXECUTE FUNCTION refuse_change();
