DROP TABLE hire_shares;
DROP TABLE hire_statements;
DROP FUNCTION hire_shares_sum();
