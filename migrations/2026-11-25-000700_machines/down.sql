DROP TABLE machine_availabilities;
DROP TABLE machine_clubs;
DROP TABLE machines;
