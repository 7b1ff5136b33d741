ALTER TABLE hire_shares DROP COLUMN signed_min;
COMMENT ON COLUMN hire_shares.work_min IS 'Minutes of work reckoned.';
