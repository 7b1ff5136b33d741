CREATE TABLE round_plans (
    network_id uuid NOT NULL REFERENCES networks (id),
    id uuid NOT NULL,
    round_id uuid NOT NULL,
    purpose text NOT NULL,
    plan_order text NOT NULL,
    hm_per_point integer NOT NULL,
    state text NOT NULL DEFAULT 'queued',
    facts bytea NOT NULL,
    levels jsonb NOT NULL DEFAULT '[]',
    note text,
    stop_wanted boolean NOT NULL DEFAULT false,
    made_by uuid NOT NULL REFERENCES people (id),
    created_at timestamptz NOT NULL DEFAULT now(),
    started_at timestamptz,
    ready_at timestamptz,
    explained_at timestamptz,
    PRIMARY KEY (network_id, id),
    CONSTRAINT round_plans_of_round UNIQUE (network_id, round_id, id),
    CONSTRAINT round_plans_round FOREIGN KEY (network_id, round_id) REFERENCES rounds (network_id, id),
    CONSTRAINT round_plans_purpose_known CHECK (purpose IN ('proposal', 'refill', 'replan')),
    CONSTRAINT round_plans_order_known CHECK (plan_order IN ('wishes_first', 'between', 'haulage_first')),
    CONSTRAINT round_plans_hm_per_point CHECK (hm_per_point BETWEEN 1 AND 10000),
    CONSTRAINT round_plans_state_known CHECK (state IN ('queued', 'working', 'ready', 'failed', 'chosen', 'superseded')),
    CONSTRAINT round_plans_ready CHECK (state NOT IN ('ready', 'chosen') OR ready_at IS NOT NULL),
    CONSTRAINT round_plans_failed CHECK (state <> 'failed' OR note IS NOT NULL)
);
CREATE UNIQUE INDEX round_plans_one_live ON round_plans (network_id, round_id, purpose, plan_order)
    WHERE state IN ('queued', 'working', 'ready');
CREATE UNIQUE INDEX round_plans_one_chosen ON round_plans (network_id, round_id, purpose) WHERE state = 'chosen';
COMMENT ON TABLE round_plans IS 'Plans of a round: one for each order of wishes and haulage.';
COMMENT ON COLUMN round_plans.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN round_plans.id IS 'UUIDv7.';
COMMENT ON COLUMN round_plans.round_id IS 'Which round.';
COMMENT ON COLUMN round_plans.purpose IS 'proposal, refill after places were declined, or replan of what is confirmed.';
COMMENT ON COLUMN round_plans.plan_order IS 'wishes_first, between, haulage_first.';
COMMENT ON COLUMN round_plans.hm_per_point IS 'The worth of a preference point it was made with, in hectometres.';
COMMENT ON COLUMN round_plans.state IS 'queued, working, ready, failed, chosen, superseded.';
COMMENT ON COLUMN round_plans.facts IS 'SHA-256 of the facts it is made from; when today''s differ it is stale.';
COMMENT ON COLUMN round_plans.levels IS 'What it reaches: [{level, value, bound}], in the order they were settled.';
COMMENT ON COLUMN round_plans.note IS 'Why it failed, or what would serve more.';
COMMENT ON COLUMN round_plans.stop_wanted IS 'A coordinator finds it good enough and waits no longer.';
COMMENT ON COLUMN round_plans.made_by IS 'Who asked for it.';
COMMENT ON COLUMN round_plans.created_at IS 'When it was asked for.';
COMMENT ON COLUMN round_plans.started_at IS 'When a worker took it up last.';
COMMENT ON COLUMN round_plans.ready_at IS 'When it was there.';
COMMENT ON COLUMN round_plans.explained_at IS 'When its reasons were there.';

ALTER TABLE round_plans ENABLE ROW LEVEL SECURITY;
ALTER TABLE round_plans FORCE ROW LEVEL SECURITY;
CREATE POLICY round_plans_own_network ON round_plans USING (network_id = current_network());

CREATE TABLE plan_blocks (
    network_id uuid NOT NULL REFERENCES networks (id),
    plan_id uuid NOT NULL,
    round_id uuid NOT NULL,
    request_id uuid NOT NULL,
    machine_id uuid NOT NULL,
    crew_club_id uuid NOT NULL,
    span tsrange NOT NULL,
    wish_rank integer,
    points integer NOT NULL,
    haul_hm integer NOT NULL,
    helper_hm integer NOT NULL,
    leaves_at timestamp NOT NULL,
    reason text,
    PRIMARY KEY (network_id, plan_id, request_id),
    CONSTRAINT plan_blocks_plan FOREIGN KEY (network_id, round_id, plan_id) REFERENCES round_plans (network_id, round_id, id),
    CONSTRAINT plan_blocks_request FOREIGN KEY (network_id, round_id, request_id) REFERENCES round_requests (network_id, round_id, id),
    CONSTRAINT plan_blocks_machine FOREIGN KEY (network_id, machine_id) REFERENCES machines (network_id, id),
    CONSTRAINT plan_blocks_crew FOREIGN KEY (network_id, crew_club_id) REFERENCES clubs (network_id, id),
    CONSTRAINT plan_blocks_no_overlap EXCLUDE USING gist (network_id WITH =, plan_id WITH =, machine_id WITH =, span WITH &&),
    CONSTRAINT plan_blocks_half_days CHECK (
        NOT isempty(span) AND lower_inc(span) AND NOT upper_inc(span)
        AND lower(span)::time IN ('00:00', '12:00') AND upper(span)::time IN ('00:00', '12:00')
    ),
    CONSTRAINT plan_blocks_road CHECK (haul_hm >= 0 AND helper_hm >= 0)
);
COMMENT ON TABLE plan_blocks IS 'Requests that have a place in a plan.';
COMMENT ON COLUMN plan_blocks.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN plan_blocks.plan_id IS 'Which plan.';
COMMENT ON COLUMN plan_blocks.round_id IS 'The round of both.';
COMMENT ON COLUMN plan_blocks.request_id IS 'Which request.';
COMMENT ON COLUMN plan_blocks.machine_id IS 'The machine that comes.';
COMMENT ON COLUMN plan_blocks.crew_club_id IS 'Whose tractor and operator.';
COMMENT ON COLUMN plan_blocks.span IS 'Half-days of network-local time, half-open.';
COMMENT ON COLUMN plan_blocks.wish_rank IS 'Which of its wishes this is; null for a day that was only allowed.';
COMMENT ON COLUMN plan_blocks.points IS 'Preference points it brings.';
COMMENT ON COLUMN plan_blocks.haul_hm IS 'Road of the machine to get there, in hectometres; 0 where the supplier brings it.';
COMMENT ON COLUMN plan_blocks.helper_hm IS 'Road of a lent tractor, over and back, in hectometres.';
COMMENT ON COLUMN plan_blocks.leaves_at IS 'When the work is done and the machine may go on, network-local.';
COMMENT ON COLUMN plan_blocks.reason IS 'Why there is no better day; null where there is nothing to explain or it is not explained yet.';

ALTER TABLE plan_blocks ENABLE ROW LEVEL SECURITY;
ALTER TABLE plan_blocks FORCE ROW LEVEL SECURITY;
CREATE POLICY plan_blocks_own_network ON plan_blocks USING (network_id = current_network());

CREATE TABLE plan_left_out (
    network_id uuid NOT NULL REFERENCES networks (id),
    plan_id uuid NOT NULL,
    round_id uuid NOT NULL,
    request_id uuid NOT NULL,
    reason text,
    PRIMARY KEY (network_id, plan_id, request_id),
    CONSTRAINT plan_left_out_plan FOREIGN KEY (network_id, round_id, plan_id) REFERENCES round_plans (network_id, round_id, id),
    CONSTRAINT plan_left_out_request FOREIGN KEY (network_id, round_id, request_id) REFERENCES round_requests (network_id, round_id, id)
);
COMMENT ON TABLE plan_left_out IS 'Requests that a plan does not serve.';
COMMENT ON COLUMN plan_left_out.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN plan_left_out.plan_id IS 'Which plan.';
COMMENT ON COLUMN plan_left_out.round_id IS 'The round of both.';
COMMENT ON COLUMN plan_left_out.request_id IS 'Which request.';
COMMENT ON COLUMN plan_left_out.reason IS 'Why, and what would have made it possible; null until it is explained.';

ALTER TABLE plan_left_out ENABLE ROW LEVEL SECURITY;
ALTER TABLE plan_left_out FORCE ROW LEVEL SECURITY;
CREATE POLICY plan_left_out_own_network ON plan_left_out USING (network_id = current_network());

CREATE TABLE round_pins (
    network_id uuid NOT NULL REFERENCES networks (id),
    id uuid NOT NULL,
    round_id uuid NOT NULL,
    request_id uuid NOT NULL,
    kind text NOT NULL,
    machine_id uuid,
    half_day timestamp,
    made_by uuid NOT NULL REFERENCES people (id),
    created_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (network_id, id),
    CONSTRAINT round_pins_request FOREIGN KEY (network_id, round_id, request_id) REFERENCES round_requests (network_id, round_id, id),
    CONSTRAINT round_pins_machine FOREIGN KEY (network_id, round_id, machine_id) REFERENCES round_machines (network_id, round_id, machine_id),
    CONSTRAINT round_pins_kind_known CHECK (kind IN ('pin', 'ban')),
    CONSTRAINT round_pins_half_day CHECK (half_day::time IN ('00:00', '12:00'))
);
CREATE UNIQUE INDEX round_pins_one_pin ON round_pins (network_id, round_id, request_id) WHERE kind = 'pin';
CREATE UNIQUE INDEX round_pins_ban_once ON round_pins (network_id, round_id, request_id, machine_id, half_day) NULLS NOT DISTINCT
    WHERE kind = 'ban';
COMMENT ON TABLE round_pins IS 'Where the coordinator wants a request to be, or not to be, whatever the plan would prefer.';
COMMENT ON COLUMN round_pins.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN round_pins.id IS 'UUIDv7.';
COMMENT ON COLUMN round_pins.round_id IS 'Which round.';
COMMENT ON COLUMN round_pins.request_id IS 'Which request.';
COMMENT ON COLUMN round_pins.kind IS 'pin (be there) or ban (do not).';
COMMENT ON COLUMN round_pins.machine_id IS 'The machine; null for any.';
COMMENT ON COLUMN round_pins.half_day IS 'When it begins, network-local; null for any: a pin of any says that it must be served, a ban of any that it must not.';
COMMENT ON COLUMN round_pins.made_by IS 'Which coordinator.';
COMMENT ON COLUMN round_pins.created_at IS 'When.';

ALTER TABLE round_pins ENABLE ROW LEVEL SECURITY;
ALTER TABLE round_pins FORCE ROW LEVEL SECURITY;
CREATE POLICY round_pins_own_network ON round_pins USING (network_id = current_network());

CREATE TABLE round_crews (
    network_id uuid NOT NULL REFERENCES networks (id),
    round_id uuid NOT NULL,
    club_id uuid NOT NULL,
    crews integer NOT NULL,
    PRIMARY KEY (network_id, round_id, club_id),
    CONSTRAINT round_crews_round FOREIGN KEY (network_id, round_id) REFERENCES rounds (network_id, id),
    CONSTRAINT round_crews_club FOREIGN KEY (network_id, club_id) REFERENCES clubs (network_id, id),
    CONSTRAINT round_crews_few CHECK (crews BETWEEN 0 AND 20)
);
COMMENT ON TABLE round_crews IS 'Clubs that have other than one tractor with operator during a round.';
COMMENT ON COLUMN round_crews.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN round_crews.round_id IS 'Which round.';
COMMENT ON COLUMN round_crews.club_id IS 'Which club.';
COMMENT ON COLUMN round_crews.crews IS 'How many of its tractors with operators can work at once.';

ALTER TABLE round_crews ENABLE ROW LEVEL SECURITY;
ALTER TABLE round_crews FORCE ROW LEVEL SECURITY;
CREATE POLICY round_crews_own_network ON round_crews USING (network_id = current_network());

CREATE TABLE roads (
    network_id uuid NOT NULL REFERENCES networks (id),
    from_ground_id uuid NOT NULL,
    to_ground_id uuid NOT NULL,
    road_hm integer NOT NULL,
    PRIMARY KEY (network_id, from_ground_id, to_ground_id),
    CONSTRAINT roads_from FOREIGN KEY (network_id, from_ground_id) REFERENCES grounds (network_id, id),
    CONSTRAINT roads_to FOREIGN KEY (network_id, to_ground_id) REFERENCES grounds (network_id, id),
    CONSTRAINT roads_once CHECK (from_ground_id < to_ground_id),
    CONSTRAINT roads_length CHECK (road_hm BETWEEN 0 AND 20000)
);
COMMENT ON TABLE roads IS 'Road between two grounds where a coordinator knows better than 1.3 times the distance as the crow flies.';
COMMENT ON COLUMN roads.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN roads.from_ground_id IS 'The ground of the smaller id; the road is the same both ways.';
COMMENT ON COLUMN roads.to_ground_id IS 'The other ground.';
COMMENT ON COLUMN roads.road_hm IS 'Length in hectometres (0.1 km).';

ALTER TABLE roads ENABLE ROW LEVEL SECURITY;
ALTER TABLE roads FORCE ROW LEVEL SECURITY;
CREATE POLICY roads_own_network ON roads USING (network_id = current_network());

CREATE TABLE turns (
    network_id uuid NOT NULL REFERENCES networks (id),
    id uuid NOT NULL,
    club_id uuid NOT NULL,
    round_id uuid NOT NULL,
    request_id uuid NOT NULL,
    season integer NOT NULL,
    kind text NOT NULL,
    entered_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (network_id, id),
    CONSTRAINT turns_once UNIQUE (network_id, request_id),
    CONSTRAINT turns_request FOREIGN KEY (network_id, round_id, request_id) REFERENCES round_requests (network_id, round_id, id),
    CONSTRAINT turns_request_of_club FOREIGN KEY (network_id, club_id, request_id) REFERENCES round_requests (network_id, club_id, id),
    CONSTRAINT turns_season CHECK (season BETWEEN 2000 AND 2099),
    CONSTRAINT turns_kind_known CHECK (kind IN ('left_out', 'served_late', 'prime_day', 'served'))
);
CREATE INDEX turns_by_club ON turns (network_id, club_id, entered_at);
COMMENT ON TABLE turns IS 'The record of who had which days and who went without; entered when a round is agreed, never edited.';
COMMENT ON COLUMN turns.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN turns.id IS 'UUIDv7.';
COMMENT ON COLUMN turns.club_id IS 'Which club.';
COMMENT ON COLUMN turns.round_id IS 'In which round.';
COMMENT ON COLUMN turns.request_id IS 'By which request.';
COMMENT ON COLUMN turns.season IS 'The year the season began in.';
COMMENT ON COLUMN turns.kind IS 'left_out, served_late, prime_day, served.';
COMMENT ON COLUMN turns.entered_at IS 'When it was entered.';

ALTER TABLE turns ENABLE ROW LEVEL SECURITY;
ALTER TABLE turns FORCE ROW LEVEL SECURITY;
CREATE POLICY turns_own_network ON turns USING (network_id = current_network());

CREATE TRIGGER turns_immutable BEFORE UPDATE OR DELETE ON turns FOR EACH ROW EXECUTE FUNCTION refuse_change();
