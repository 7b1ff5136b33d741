-- The parts every later table leans on: the role the application runs as, who the current
-- transaction speaks for, and what must never be edited.
CREATE EXTENSION IF NOT EXISTS btree_gist;

DO $$
BEGIN
    IF NOT EXISTS (SELECT FROM pg_roles WHERE rolname = 'turfring_app') THEN
        CREATE ROLE turfring_app NOLOGIN;
    END IF;
EXCEPTION WHEN duplicate_object OR unique_violation THEN
    NULL; -- another database of this cluster was first
END
$$;
GRANT USAGE ON SCHEMA public TO turfring_app;
ALTER DEFAULT PRIVILEGES IN SCHEMA public GRANT SELECT, INSERT, UPDATE, DELETE ON TABLES TO turfring_app;

CREATE FUNCTION current_network() RETURNS uuid
    LANGUAGE sql STABLE PARALLEL SAFE
    RETURN nullif(current_setting('turfring.network_id', true), '')::uuid;
COMMENT ON FUNCTION current_network() IS 'The network this transaction speaks for; null outside one.';

CREATE FUNCTION current_person() RETURNS uuid
    LANGUAGE sql STABLE PARALLEL SAFE
    RETURN nullif(current_setting('turfring.person_id', true), '')::uuid;
COMMENT ON FUNCTION current_person() IS 'The person this transaction speaks for; null for jobs and strangers.';

CREATE FUNCTION in_scope(wanted text) RETURNS boolean
    LANGUAGE sql STABLE PARALLEL SAFE
    RETURN coalesce(current_setting('turfring.scope', true) = wanted, false);
COMMENT ON FUNCTION in_scope(text) IS 'Whether this transaction runs in a scope above the networks: access (sign-in) or queue (jobs).';

CREATE FUNCTION refuse_change() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION '% is never edited; enter a new record that counters it', TG_TABLE_NAME
        USING ERRCODE = 'check_violation', CONSTRAINT = TG_TABLE_NAME || '_immutable';
END
$$;
COMMENT ON FUNCTION refuse_change() IS 'Trigger for tables whose rows stand once entered.';
