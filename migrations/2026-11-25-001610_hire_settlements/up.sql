CREATE TABLE hire_settlements (
    network_id uuid NOT NULL REFERENCES networks (id),
    statement_id uuid NOT NULL,
    settled_by uuid NOT NULL REFERENCES people (id),
    settled_at timestamptz NOT NULL,
    PRIMARY KEY (network_id, statement_id),
    CONSTRAINT hire_settlements_statement FOREIGN KEY (network_id, statement_id) REFERENCES hire_statements (network_id, id)
);
COMMENT ON TABLE hire_settlements IS 'Statements whose invoice is paid as it was shared; nothing is owed for them any more.';
COMMENT ON COLUMN hire_settlements.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN hire_settlements.statement_id IS 'Which statement.';
COMMENT ON COLUMN hire_settlements.settled_by IS 'The coordinator.';
COMMENT ON COLUMN hire_settlements.settled_at IS 'When.';
ALTER TABLE hire_settlements ENABLE ROW LEVEL SECURITY;
ALTER TABLE hire_settlements FORCE ROW LEVEL SECURITY;
CREATE POLICY hire_settlements_own_network ON hire_settlements USING (network_id = current_network());
CREATE TRIGGER hire_settlements_immutable BEFORE UPDATE OR DELETE ON hire_settlements
    FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE FUNCTION hire_settlements_gate() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
    the_statement uuid;
BEGIN
    IF TG_TABLE_NAME = 'hire_settlements' THEN
        the_statement := NEW.statement_id;
    ELSE
        the_statement := NEW.counters;
    END IF;
    -- The lock waits for whoever settles or counters the same statement, and makes them wait for us.
    PERFORM FROM hire_statements WHERE network_id = NEW.network_id AND id = the_statement FOR UPDATE;
    IF TG_TABLE_NAME = 'hire_settlements' AND EXISTS (
        SELECT FROM hire_statements WHERE network_id = NEW.network_id AND counters = the_statement
    ) THEN
        RAISE EXCEPTION 'another statement takes the place of this one'
            USING ERRCODE = 'check_violation', CONSTRAINT = 'hire_settlements_standing';
    ELSIF TG_TABLE_NAME = 'hire_statements' AND EXISTS (
        SELECT FROM hire_settlements WHERE network_id = NEW.network_id AND statement_id = the_statement
    ) THEN
        RAISE EXCEPTION 'a settled statement is not countered'
            USING ERRCODE = 'check_violation', CONSTRAINT = 'hire_statements_unsettled';
    END IF;
    RETURN NEW;
END
$$;
COMMENT ON FUNCTION hire_settlements_gate() IS 'A statement is countered or settled, never both.';
CREATE TRIGGER hire_settlements_gate BEFORE INSERT ON hire_settlements
    FOR EACH ROW EXECUTE FUNCTION hire_settlements_gate();
CREATE TRIGGER hire_statements_unsettled BEFORE INSERT ON hire_statements
    FOR EACH ROW WHEN (NEW.counters IS NOT NULL) EXECUTE FUNCTION hire_settlements_gate();
