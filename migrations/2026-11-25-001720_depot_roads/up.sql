CREATE TABLE depot_roads (
    network_id uuid NOT NULL REFERENCES networks (id),
    hire_id uuid NOT NULL,
    ground_id uuid NOT NULL,
    road_hm integer NOT NULL,
    PRIMARY KEY (network_id, hire_id, ground_id),
    CONSTRAINT depot_roads_hire FOREIGN KEY (network_id, hire_id) REFERENCES hires (network_id, id),
    CONSTRAINT depot_roads_ground FOREIGN KEY (network_id, ground_id) REFERENCES grounds (network_id, id),
    CONSTRAINT depot_roads_length CHECK (road_hm BETWEEN 0 AND 20000)
);
COMMENT ON TABLE depot_roads IS 'Road between the depot of a hire and a ground where a coordinator knows better than 1.3 times the distance as the crow flies.';
COMMENT ON COLUMN depot_roads.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN depot_roads.hire_id IS 'The hire whose depot it is; another depot is another road.';
COMMENT ON COLUMN depot_roads.ground_id IS 'The ground; the road is the same both ways.';
COMMENT ON COLUMN depot_roads.road_hm IS 'Length in hectometres (0.1 km).';

ALTER TABLE depot_roads ENABLE ROW LEVEL SECURITY;
ALTER TABLE depot_roads FORCE ROW LEVEL SECURITY;
CREATE POLICY depot_roads_own_network ON depot_roads USING (network_id = current_network());
