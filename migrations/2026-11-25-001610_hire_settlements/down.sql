DROP TRIGGER hire_statements_unsettled ON hire_statements;
DROP TABLE hire_settlements;
DROP FUNCTION hire_settlements_gate();
