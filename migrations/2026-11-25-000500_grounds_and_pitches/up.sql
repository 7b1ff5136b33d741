CREATE TABLE grounds (
    network_id uuid NOT NULL REFERENCES networks (id),
    id uuid NOT NULL,
    club_id uuid NOT NULL,
    name text NOT NULL,
    latitude_deg double precision NOT NULL,
    longitude_deg double precision NOT NULL,
    soil text NOT NULL,
    drainage text NOT NULL,
    lorry_access text NOT NULL,
    hard_standing boolean NOT NULL,
    tractor_kw double precision,
    version integer NOT NULL DEFAULT 1,
    created_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (network_id, id),
    CONSTRAINT grounds_of_club UNIQUE (network_id, club_id, id),
    CONSTRAINT grounds_name_once UNIQUE (network_id, club_id, name),
    CONSTRAINT grounds_club FOREIGN KEY (network_id, club_id) REFERENCES clubs (network_id, id),
    CONSTRAINT grounds_name_length CHECK (char_length(name) BETWEEN 1 AND 120),
    CONSTRAINT grounds_position CHECK (latitude_deg BETWEEN -90 AND 90 AND longitude_deg BETWEEN -180 AND 180),
    CONSTRAINT grounds_soil_known CHECK (soil IN ('clay', 'clay_loam', 'loam', 'silt_loam', 'sandy_loam', 'sand')),
    CONSTRAINT grounds_drainage_known CHECK (drainage IN ('none', 'slit', 'pipe', 'pipe_and_slit')),
    CONSTRAINT grounds_lorry_access_known CHECK (lorry_access IN ('none', 'rigid', 'articulated')),
    CONSTRAINT grounds_tractor CHECK (tractor_kw > 0 AND tractor_kw < 1000)
);
CREATE INDEX grounds_latitude ON grounds (network_id, latitude_deg);
COMMENT ON TABLE grounds IS 'A place with pitches.';
COMMENT ON COLUMN grounds.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN grounds.id IS 'UUIDv7.';
COMMENT ON COLUMN grounds.club_id IS 'Whose ground.';
COMMENT ON COLUMN grounds.name IS 'Unique in the club.';
COMMENT ON COLUMN grounds.latitude_deg IS 'WGS84, degrees north.';
COMMENT ON COLUMN grounds.longitude_deg IS 'WGS84, degrees east.';
COMMENT ON COLUMN grounds.soil IS 'Topsoil texture.';
COMMENT ON COLUMN grounds.drainage IS 'Under the pitches: none, slit, pipe, pipe_and_slit.';
COMMENT ON COLUMN grounds.lorry_access IS 'The largest lorry that gets in: none, rigid, articulated.';
COMMENT ON COLUMN grounds.hard_standing IS 'Whether a load can be tipped on hard ground.';
COMMENT ON COLUMN grounds.tractor_kw IS 'The tractor kept on site, kW; null for none.';
COMMENT ON COLUMN grounds.version IS 'Counts changes; the ETag of what people edit together.';
COMMENT ON COLUMN grounds.created_at IS 'When it was entered.';

ALTER TABLE grounds ENABLE ROW LEVEL SECURITY;
ALTER TABLE grounds FORCE ROW LEVEL SECURITY;
CREATE POLICY grounds_own_network ON grounds USING (network_id = current_network());

CREATE TABLE pitches (
    network_id uuid NOT NULL REFERENCES networks (id),
    id uuid NOT NULL,
    club_id uuid NOT NULL,
    ground_id uuid NOT NULL,
    name text NOT NULL,
    sport text NOT NULL,
    length_m double precision NOT NULL,
    width_m double precision NOT NULL,
    area_m2 integer NOT NULL,
    version integer NOT NULL DEFAULT 1,
    created_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (network_id, id),
    CONSTRAINT pitches_of_club UNIQUE (network_id, club_id, id),
    CONSTRAINT pitches_name_once UNIQUE (network_id, ground_id, name),
    CONSTRAINT pitches_ground FOREIGN KEY (network_id, club_id, ground_id) REFERENCES grounds (network_id, club_id, id),
    CONSTRAINT pitches_name_length CHECK (char_length(name) BETWEEN 1 AND 120),
    CONSTRAINT pitches_sport_known CHECK (sport IN ('rugby_union', 'rugby_league', 'football', 'cricket_outfield', 'hockey', 'other')),
    CONSTRAINT pitches_size CHECK (length_m BETWEEN 10 AND 300 AND width_m BETWEEN 10 AND 300),
    CONSTRAINT pitches_area CHECK (area_m2 BETWEEN 100 AND 90000)
);
COMMENT ON TABLE pitches IS 'A playing surface.';
COMMENT ON COLUMN pitches.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN pitches.id IS 'UUIDv7.';
COMMENT ON COLUMN pitches.club_id IS 'The club of its ground.';
COMMENT ON COLUMN pitches.ground_id IS 'Where it lies.';
COMMENT ON COLUMN pitches.name IS 'Unique on its ground.';
COMMENT ON COLUMN pitches.sport IS 'What is played on it.';
COMMENT ON COLUMN pitches.length_m IS 'Of the turf that is worked, in-goal and margins included.';
COMMENT ON COLUMN pitches.width_m IS 'Of the turf that is worked, margins included.';
COMMENT ON COLUMN pitches.area_m2 IS 'Turf worked; length × width unless stated.';
COMMENT ON COLUMN pitches.version IS 'Counts changes; the ETag of what people edit together.';
COMMENT ON COLUMN pitches.created_at IS 'When it was entered.';

ALTER TABLE pitches ENABLE ROW LEVEL SECURITY;
ALTER TABLE pitches FORCE ROW LEVEL SECURITY;
CREATE POLICY pitches_own_network ON pitches USING (network_id = current_network());
