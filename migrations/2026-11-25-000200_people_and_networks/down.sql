DROP POLICY people_visible ON people;
DROP POLICY networks_own ON networks;
DROP TABLE memberships;
DROP TABLE clubs;
DROP TABLE people;
DROP TABLE networks;
