DROP TABLE pitches;
DROP TABLE grounds;
