ALTER TABLE hire_shares
    ADD COLUMN signed_min bigint NOT NULL DEFAULT 0,
    ADD CONSTRAINT hire_shares_signed CHECK (signed_min BETWEEN 0 AND work_min);
COMMENT ON COLUMN hire_shares.work_min IS 'Minutes of work.';
COMMENT ON COLUMN hire_shares.signed_min IS 'Of these, minutes read from the hour meter at signed handovers; the rest is reckoned.';
