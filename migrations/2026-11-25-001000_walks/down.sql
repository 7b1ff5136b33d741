DROP TABLE readings;
DROP TABLE walks;
DROP TABLE scheme_criteria;
DROP TABLE schemes;
