DROP TABLE depot_roads;
