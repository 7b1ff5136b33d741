DROP TABLE turns;
DROP TABLE roads;
DROP TABLE round_crews;
DROP TABLE round_pins;
DROP TABLE plan_left_out;
DROP TABLE plan_blocks;
DROP TABLE round_plans;
