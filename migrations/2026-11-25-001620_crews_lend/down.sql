ALTER TABLE round_crews DROP COLUMN lends;
