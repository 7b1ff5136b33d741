DROP TABLE ground_closures;
