CREATE TABLE hire_statements (
    network_id uuid NOT NULL REFERENCES networks (id),
    id uuid NOT NULL,
    hire_id uuid NOT NULL,
    counters uuid,
    rule text NOT NULL,
    invoice_pence bigint NOT NULL,
    expected_invoice_pence bigint NOT NULL,
    fuel_pence bigint NOT NULL,
    haul_pence bigint NOT NULL,
    total_pence bigint NOT NULL GENERATED ALWAYS AS (invoice_pence + fuel_pence + haul_pence) STORED,
    fund_pence bigint NOT NULL,
    note text NOT NULL DEFAULT '',
    entered_by uuid NOT NULL REFERENCES people (id),
    entered_at timestamptz NOT NULL,
    PRIMARY KEY (network_id, id),
    CONSTRAINT hire_statements_of_hire UNIQUE (network_id, hire_id, id),
    CONSTRAINT hire_statements_hire FOREIGN KEY (network_id, hire_id) REFERENCES hires (network_id, id),
    CONSTRAINT hire_statements_counters FOREIGN KEY (network_id, hire_id, counters)
        REFERENCES hire_statements (network_id, hire_id, id),
    CONSTRAINT hire_statements_countered_once UNIQUE (network_id, counters),
    CONSTRAINT hire_statements_first_once EXCLUDE USING gist (network_id WITH =, hire_id WITH =) WHERE (counters IS NULL),
    CONSTRAINT hire_statements_rule_known CHECK (rule IN ('equal_discount', 'by_hours', 'shapley')),
    CONSTRAINT hire_statements_not_negative CHECK (
        invoice_pence BETWEEN 0 AND 100000000 AND expected_invoice_pence >= 0 AND fuel_pence >= 0 AND haul_pence >= 0
        AND fund_pence >= 0
    )
);
COMMENT ON TABLE hire_statements IS 'What a hire came to and by which rule it is shared; never changed, only countered.';
COMMENT ON COLUMN hire_statements.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN hire_statements.id IS 'UUIDv7.';
COMMENT ON COLUMN hire_statements.hire_id IS 'Which hire.';
COMMENT ON COLUMN hire_statements.counters IS 'The earlier statement this one takes the place of; null for the first.';
COMMENT ON COLUMN hire_statements.rule IS 'equal_discount, by_hours or shapley.';
COMMENT ON COLUMN hire_statements.invoice_pence IS 'What the supplier asks, deposit left out.';
COMMENT ON COLUMN hire_statements.expected_invoice_pence IS 'What the supplier should ask by the charges of the hire.';
COMMENT ON COLUMN hire_statements.fuel_pence IS 'Fuel and wear by the hours of work.';
COMMENT ON COLUMN hire_statements.haul_pence IS 'Towing from club to club.';
COMMENT ON COLUMN hire_statements.total_pence IS 'All of it, helper trips left out: they go to the club helped.';
COMMENT ON COLUMN hire_statements.fund_pence IS 'What the fund of the network carries because no club pays more than alone.';
COMMENT ON COLUMN hire_statements.note IS 'Free text.';
COMMENT ON COLUMN hire_statements.entered_by IS 'The coordinator.';
COMMENT ON COLUMN hire_statements.entered_at IS 'When.';
ALTER TABLE hire_statements ENABLE ROW LEVEL SECURITY;
ALTER TABLE hire_statements FORCE ROW LEVEL SECURITY;
CREATE POLICY hire_statements_own_network ON hire_statements USING (network_id = current_network());
CREATE TRIGGER hire_statements_immutable BEFORE UPDATE OR DELETE ON hire_statements
    FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE TABLE hire_shares (
    network_id uuid NOT NULL REFERENCES networks (id),
    statement_id uuid NOT NULL,
    club_id uuid NOT NULL,
    half_days integer NOT NULL,
    work_min bigint NOT NULL,
    area_m2 bigint NOT NULL,
    alone_pence bigint NOT NULL,
    share_pence bigint NOT NULL,
    helper_pence bigint NOT NULL,
    PRIMARY KEY (network_id, statement_id, club_id),
    CONSTRAINT hire_shares_statement FOREIGN KEY (network_id, statement_id) REFERENCES hire_statements (network_id, id),
    CONSTRAINT hire_shares_club FOREIGN KEY (network_id, club_id) REFERENCES clubs (network_id, id),
    CONSTRAINT hire_shares_not_negative CHECK (
        half_days > 0 AND work_min >= 0 AND area_m2 >= 0 AND share_pence >= 0 AND helper_pence >= 0
    ),
    CONSTRAINT hire_shares_not_above_alone CHECK (share_pence <= alone_pence)
);
CREATE INDEX hire_shares_by_club ON hire_shares (network_id, club_id);
COMMENT ON TABLE hire_shares IS 'What a club owes for a hire; never changed.';
COMMENT ON COLUMN hire_shares.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN hire_shares.statement_id IS 'The statement it belongs to.';
COMMENT ON COLUMN hire_shares.club_id IS 'Who owes.';
COMMENT ON COLUMN hire_shares.half_days IS 'Half-days it had the machine.';
COMMENT ON COLUMN hire_shares.work_min IS 'Minutes of work reckoned.';
COMMENT ON COLUMN hire_shares.area_m2 IS 'Ground worked.';
COMMENT ON COLUMN hire_shares.alone_pence IS 'What the club would pay if it hired by itself for its days.';
COMMENT ON COLUMN hire_shares.share_pence IS 'Its part of the total, never above what it would pay alone.';
COMMENT ON COLUMN hire_shares.helper_pence IS 'Trips of a neighbour with a lent tractor, on top.';
ALTER TABLE hire_shares ENABLE ROW LEVEL SECURITY;
ALTER TABLE hire_shares FORCE ROW LEVEL SECURITY;
CREATE POLICY hire_shares_own_network ON hire_shares USING (network_id = current_network());
CREATE TRIGGER hire_shares_immutable BEFORE UPDATE OR DELETE ON hire_shares
    FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE FUNCTION hire_shares_sum() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
    the_statement hire_statements;
    shared bigint;
BEGIN
    IF TG_TABLE_NAME = 'hire_statements' THEN
        the_statement := NEW;
    ELSE
        SELECT * INTO the_statement FROM hire_statements WHERE network_id = NEW.network_id AND id = NEW.statement_id;
    END IF;
    SELECT coalesce(sum(share_pence), 0) INTO shared FROM hire_shares
        WHERE network_id = the_statement.network_id AND statement_id = the_statement.id;
    IF shared + the_statement.fund_pence <> the_statement.total_pence THEN
        RAISE EXCEPTION 'shares and fund do not sum to the hire'
            USING ERRCODE = 'check_violation', CONSTRAINT = 'hire_shares_sum_to_hire';
    END IF;
    RETURN NULL;
END
$$;
COMMENT ON FUNCTION hire_shares_sum() IS 'At commit the shares of a hire and what the fund carries sum to its total.';
CREATE CONSTRAINT TRIGGER hire_shares_sum_to_hire AFTER INSERT ON hire_shares
    DEFERRABLE INITIALLY DEFERRED FOR EACH ROW EXECUTE FUNCTION hire_shares_sum();
CREATE CONSTRAINT TRIGGER hire_statements_shares_sum AFTER INSERT ON hire_statements
    DEFERRABLE INITIALLY DEFERRED FOR EACH ROW EXECUTE FUNCTION hire_shares_sum();
