CREATE TABLE networks (
    id uuid PRIMARY KEY,
    name text NOT NULL,
    time_zone text NOT NULL,
    created_at timestamptz NOT NULL DEFAULT now(),
    CONSTRAINT networks_name_length CHECK (char_length(name) BETWEEN 1 AND 120)
);
COMMENT ON TABLE networks IS 'A regional association of clubs: the tenant.';
COMMENT ON COLUMN networks.id IS 'UUIDv7.';
COMMENT ON COLUMN networks.name IS 'As members call it.';
COMMENT ON COLUMN networks.time_zone IS 'IANA name; bookings are half-days of this zone.';
COMMENT ON COLUMN networks.created_at IS 'When it was founded.';

CREATE TABLE people (
    id uuid PRIMARY KEY,
    email text NOT NULL,
    name text NOT NULL,
    password_hash text NOT NULL,
    created_at timestamptz NOT NULL DEFAULT now(),
    CONSTRAINT people_email_once UNIQUE (email),
    CONSTRAINT people_email_lower CHECK (email = lower(email) AND char_length(email) BETWEEN 3 AND 254),
    CONSTRAINT people_name_length CHECK (char_length(name) BETWEEN 1 AND 120)
);
COMMENT ON TABLE people IS 'An account. Stands above the networks: one person may belong to several.';
COMMENT ON COLUMN people.id IS 'UUIDv7.';
COMMENT ON COLUMN people.email IS 'Sign-in name, lower case.';
COMMENT ON COLUMN people.name IS 'As others see it.';
COMMENT ON COLUMN people.password_hash IS 'Argon2id, PHC string.';
COMMENT ON COLUMN people.created_at IS 'When the account was made.';

CREATE TABLE clubs (
    network_id uuid NOT NULL REFERENCES networks (id),
    id uuid NOT NULL,
    name text NOT NULL,
    sharing text NOT NULL DEFAULT 'counted',
    version integer NOT NULL DEFAULT 1,
    created_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (network_id, id),
    CONSTRAINT clubs_name_once UNIQUE (network_id, name),
    CONSTRAINT clubs_name_length CHECK (char_length(name) BETWEEN 1 AND 120),
    CONSTRAINT clubs_sharing_known CHECK (sharing IN ('named', 'counted'))
);
COMMENT ON TABLE clubs IS 'A member club.';
COMMENT ON COLUMN clubs.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN clubs.id IS 'UUIDv7.';
COMMENT ON COLUMN clubs.name IS 'Unique in the network.';
COMMENT ON COLUMN clubs.sharing IS 'In comparisons: named, or counted without a name.';
COMMENT ON COLUMN clubs.version IS 'Counts changes; the ETag of what people edit together.';
COMMENT ON COLUMN clubs.created_at IS 'When it joined.';

ALTER TABLE clubs ENABLE ROW LEVEL SECURITY;
ALTER TABLE clubs FORCE ROW LEVEL SECURITY;
CREATE POLICY clubs_own_network ON clubs USING (network_id = current_network());

CREATE TABLE memberships (
    network_id uuid NOT NULL REFERENCES networks (id),
    id uuid NOT NULL,
    person_id uuid NOT NULL REFERENCES people (id),
    role text NOT NULL,
    club_id uuid,
    created_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (network_id, id),
    CONSTRAINT memberships_once UNIQUE NULLS NOT DISTINCT (network_id, person_id, role, club_id),
    CONSTRAINT memberships_club FOREIGN KEY (network_id, club_id) REFERENCES clubs (network_id, id),
    CONSTRAINT memberships_role_known CHECK (role IN ('coordinator', 'grounds_lead', 'treasurer', 'volunteer')),
    CONSTRAINT memberships_role_place CHECK ((role = 'coordinator') = (club_id IS NULL))
);
CREATE INDEX memberships_person ON memberships (person_id);
COMMENT ON TABLE memberships IS 'A person''s place in a network or club.';
COMMENT ON COLUMN memberships.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN memberships.id IS 'UUIDv7.';
COMMENT ON COLUMN memberships.person_id IS 'Whose.';
COMMENT ON COLUMN memberships.role IS 'coordinator (network); grounds_lead, treasurer, volunteer (club).';
COMMENT ON COLUMN memberships.club_id IS 'The club; null for a coordinator.';
COMMENT ON COLUMN memberships.created_at IS 'Since when.';

ALTER TABLE memberships ENABLE ROW LEVEL SECURITY;
ALTER TABLE memberships FORCE ROW LEVEL SECURITY;
CREATE POLICY memberships_own_network ON memberships USING (network_id = current_network() OR person_id = current_person()) WITH CHECK (network_id = current_network());

ALTER TABLE networks ENABLE ROW LEVEL SECURITY;
ALTER TABLE networks FORCE ROW LEVEL SECURITY;
CREATE POLICY networks_own ON networks
    USING (id = current_network() OR id IN (SELECT network_id FROM memberships WHERE person_id = current_person()));

ALTER TABLE people ENABLE ROW LEVEL SECURITY;
ALTER TABLE people FORCE ROW LEVEL SECURITY;
CREATE POLICY people_visible ON people
    USING (
        id = current_person()
        OR in_scope('access')
        OR EXISTS (SELECT FROM memberships m WHERE m.person_id = people.id AND m.network_id = current_network())
    );
