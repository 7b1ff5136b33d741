CREATE TABLE refresh_tokens (
    token_hash bytea PRIMARY KEY,
    family_id uuid NOT NULL,
    person_id uuid NOT NULL REFERENCES people (id),
    issued_at timestamptz NOT NULL,
    expires_at timestamptz NOT NULL,
    used_at timestamptz,
    ended_at timestamptz
);
CREATE INDEX refresh_tokens_family ON refresh_tokens (family_id);
CREATE INDEX refresh_tokens_person ON refresh_tokens (person_id);
COMMENT ON TABLE refresh_tokens IS 'One link of a session: each refresh uses a token up and issues the next of its family.';
COMMENT ON COLUMN refresh_tokens.token_hash IS 'SHA-256 of the token; the token itself is not kept.';
COMMENT ON COLUMN refresh_tokens.family_id IS 'One sign-in on one device.';
COMMENT ON COLUMN refresh_tokens.person_id IS 'Whose session.';
COMMENT ON COLUMN refresh_tokens.issued_at IS 'When it was handed out.';
COMMENT ON COLUMN refresh_tokens.expires_at IS 'Not accepted from here on.';
COMMENT ON COLUMN refresh_tokens.used_at IS 'When it was exchanged; a second use ends the family.';
COMMENT ON COLUMN refresh_tokens.ended_at IS 'When the family was ended by sign-out or reuse.';

CREATE TABLE password_resets (
    token_hash bytea PRIMARY KEY,
    person_id uuid NOT NULL REFERENCES people (id),
    expires_at timestamptz NOT NULL,
    used_at timestamptz
);
COMMENT ON TABLE password_resets IS 'A link mailed to set a new password; single use.';
COMMENT ON COLUMN password_resets.token_hash IS 'SHA-256 of the token.';
COMMENT ON COLUMN password_resets.person_id IS 'Whose password.';
COMMENT ON COLUMN password_resets.expires_at IS 'Not accepted from here on.';
COMMENT ON COLUMN password_resets.used_at IS 'When it was spent.';

CREATE TABLE sign_in_attempts (
    id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    subject_hash bytea NOT NULL,
    attempted_at timestamptz NOT NULL
);
CREATE INDEX sign_in_attempts_subject ON sign_in_attempts (subject_hash, attempted_at);
COMMENT ON TABLE sign_in_attempts IS 'Failed sign-ins and reset requests, counted to slow guessing down.';
COMMENT ON COLUMN sign_in_attempts.id IS 'Running number.';
COMMENT ON COLUMN sign_in_attempts.subject_hash IS 'SHA-256 of the e-mail address or network address tried.';
COMMENT ON COLUMN sign_in_attempts.attempted_at IS 'When.';

ALTER TABLE refresh_tokens ENABLE ROW LEVEL SECURITY;
ALTER TABLE refresh_tokens FORCE ROW LEVEL SECURITY;
CREATE POLICY refresh_tokens_own ON refresh_tokens USING (in_scope('access') OR person_id = current_person());
ALTER TABLE password_resets ENABLE ROW LEVEL SECURITY;
ALTER TABLE password_resets FORCE ROW LEVEL SECURITY;
CREATE POLICY password_resets_access ON password_resets USING (in_scope('access'));
ALTER TABLE sign_in_attempts ENABLE ROW LEVEL SECURITY;
ALTER TABLE sign_in_attempts FORCE ROW LEVEL SECURITY;
CREATE POLICY sign_in_attempts_access ON sign_in_attempts USING (in_scope('access'));

CREATE TABLE invitations (
    network_id uuid NOT NULL REFERENCES networks (id),
    id uuid NOT NULL,
    email text NOT NULL,
    name text NOT NULL,
    role text NOT NULL,
    club_id uuid,
    token_hash bytea NOT NULL,
    invited_by uuid REFERENCES people (id),
    created_at timestamptz NOT NULL DEFAULT now(),
    expires_at timestamptz NOT NULL,
    accepted_at timestamptz,
    withdrawn_at timestamptz,
    PRIMARY KEY (network_id, id),
    CONSTRAINT invitations_token_once UNIQUE (network_id, token_hash),
    CONSTRAINT invitations_club FOREIGN KEY (network_id, club_id) REFERENCES clubs (network_id, id),
    CONSTRAINT invitations_email_lower CHECK (email = lower(email)),
    CONSTRAINT invitations_role_known CHECK (role IN ('coordinator', 'grounds_lead', 'treasurer', 'volunteer')),
    CONSTRAINT invitations_role_place CHECK ((role = 'coordinator') = (club_id IS NULL)),
    CONSTRAINT invitations_one_end CHECK (accepted_at IS NULL OR withdrawn_at IS NULL)
);
COMMENT ON TABLE invitations IS 'A mailed offer of a membership; single use, expiring.';
COMMENT ON COLUMN invitations.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN invitations.id IS 'UUIDv7.';
COMMENT ON COLUMN invitations.email IS 'Where it was sent, lower case.';
COMMENT ON COLUMN invitations.name IS 'How the inviter calls the person.';
COMMENT ON COLUMN invitations.role IS 'The role offered.';
COMMENT ON COLUMN invitations.club_id IS 'The club; null for a coordinator.';
COMMENT ON COLUMN invitations.token_hash IS 'SHA-256 of the token in the link.';
COMMENT ON COLUMN invitations.invited_by IS 'Who invited; null when made from the command line.';
COMMENT ON COLUMN invitations.created_at IS 'When it was queued.';
COMMENT ON COLUMN invitations.expires_at IS 'Not accepted from here on.';
COMMENT ON COLUMN invitations.accepted_at IS 'When it was used.';
COMMENT ON COLUMN invitations.withdrawn_at IS 'When it was taken back.';

ALTER TABLE invitations ENABLE ROW LEVEL SECURITY;
ALTER TABLE invitations FORCE ROW LEVEL SECURITY;
CREATE POLICY invitations_own_network ON invitations USING (network_id = current_network());

CREATE TABLE idempotency_keys (
    network_id uuid NOT NULL REFERENCES networks (id),
    person_id uuid NOT NULL REFERENCES people (id),
    key text NOT NULL,
    request_hash bytea NOT NULL,
    status smallint,
    body jsonb,
    created_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (network_id, person_id, key),
    CONSTRAINT idempotency_keys_key_length CHECK (char_length(key) BETWEEN 1 AND 200)
);
COMMENT ON TABLE idempotency_keys IS 'What a POST answered, so that sending it again changes nothing and answers the same.';
COMMENT ON COLUMN idempotency_keys.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN idempotency_keys.person_id IS 'Who sent it.';
COMMENT ON COLUMN idempotency_keys.key IS 'The Idempotency-Key header.';
COMMENT ON COLUMN idempotency_keys.request_hash IS 'SHA-256 of method, path and body: a key belongs to one request.';
COMMENT ON COLUMN idempotency_keys.status IS 'HTTP status answered; null only inside the first transaction.';
COMMENT ON COLUMN idempotency_keys.body IS 'JSON answered.';
COMMENT ON COLUMN idempotency_keys.created_at IS 'When first seen.';

ALTER TABLE idempotency_keys ENABLE ROW LEVEL SECURITY;
ALTER TABLE idempotency_keys FORCE ROW LEVEL SECURITY;
CREATE POLICY idempotency_keys_own_network ON idempotency_keys USING (network_id = current_network());
