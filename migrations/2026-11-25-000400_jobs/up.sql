CREATE TABLE jobs (
    id uuid PRIMARY KEY,
    network_id uuid REFERENCES networks (id),
    kind text NOT NULL,
    subject text,
    payload jsonb NOT NULL,
    state text NOT NULL DEFAULT 'waiting',
    run_at timestamptz NOT NULL,
    attempts integer NOT NULL DEFAULT 0,
    locked_until timestamptz,
    last_error text,
    created_at timestamptz NOT NULL DEFAULT now(),
    finished_at timestamptz,
    CONSTRAINT jobs_subject_once UNIQUE (kind, subject),
    CONSTRAINT jobs_state_known CHECK (state IN ('waiting', 'done', 'parked', 'dropped')),
    CONSTRAINT jobs_finished CHECK ((state = 'waiting') = (finished_at IS NULL))
);
CREATE INDEX jobs_due ON jobs (run_at) WHERE state = 'waiting';
CREATE INDEX jobs_network ON jobs (network_id, kind, created_at);
COMMENT ON TABLE jobs IS 'Work to be done outside a request: written in the transaction that causes it, run at least once.';
COMMENT ON COLUMN jobs.id IS 'UUIDv7.';
COMMENT ON COLUMN jobs.network_id IS 'The network it concerns; null for what stands above networks (a password reset).';
COMMENT ON COLUMN jobs.kind IS 'send_mail, close_order, remind_order.';
COMMENT ON COLUMN jobs.subject IS 'What it is about, where there may be only one such job; else null.';
COMMENT ON COLUMN jobs.payload IS 'What the job needs, by kind.';
COMMENT ON COLUMN jobs.state IS 'waiting, done, parked (given up, shown to the coordinator), dropped (its cause went away).';
COMMENT ON COLUMN jobs.run_at IS 'Not before.';
COMMENT ON COLUMN jobs.attempts IS 'How often it was tried.';
COMMENT ON COLUMN jobs.locked_until IS 'Claimed by a worker until then.';
COMMENT ON COLUMN jobs.last_error IS 'Why the last try failed.';
COMMENT ON COLUMN jobs.created_at IS 'When it was queued.';
COMMENT ON COLUMN jobs.finished_at IS 'When it left waiting.';

ALTER TABLE jobs ENABLE ROW LEVEL SECURITY;
ALTER TABLE jobs FORCE ROW LEVEL SECURITY;
CREATE POLICY jobs_own_network ON jobs
    USING (network_id = current_network() OR in_scope('queue') OR (network_id IS NULL AND in_scope('access')));
