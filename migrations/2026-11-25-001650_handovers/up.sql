ALTER TABLE bookings ADD CONSTRAINT bookings_of_machine UNIQUE (network_id, id, machine_id, club_id);

CREATE TABLE handovers (
    network_id uuid NOT NULL REFERENCES networks (id),
    id uuid NOT NULL,
    booking_id uuid NOT NULL,
    machine_id uuid NOT NULL,
    club_id uuid NOT NULL,
    direction text NOT NULL,
    revision integer NOT NULL DEFAULT 1,
    counters uuid,
    meter_tenth_hours integer,
    previous_tenth_hours integer,
    meter_reason text NOT NULL DEFAULT '',
    tines_sound boolean,
    guards_sound boolean NOT NULL,
    washed_down boolean NOT NULL,
    note text NOT NULL DEFAULT '',
    signed_name text NOT NULL,
    signed_by uuid NOT NULL REFERENCES people (id),
    signed_at timestamptz NOT NULL,
    received_at timestamptz NOT NULL,
    PRIMARY KEY (network_id, id),
    CONSTRAINT handovers_once UNIQUE (network_id, booking_id, direction, revision),
    CONSTRAINT handovers_same_way UNIQUE (network_id, id, booking_id, direction),
    CONSTRAINT handovers_of_machine UNIQUE (network_id, id, machine_id),
    CONSTRAINT handovers_countered_once UNIQUE (network_id, counters),
    CONSTRAINT handovers_booking FOREIGN KEY (network_id, booking_id, machine_id, club_id)
        REFERENCES bookings (network_id, id, machine_id, club_id),
    CONSTRAINT handovers_counters FOREIGN KEY (network_id, counters, booking_id, direction)
        REFERENCES handovers (network_id, id, booking_id, direction),
    CONSTRAINT handovers_direction_known CHECK (direction IN ('out', 'in')),
    CONSTRAINT handovers_revision CHECK (revision >= 1 AND (revision = 1) = (counters IS NULL)),
    CONSTRAINT handovers_meter CHECK (meter_tenth_hours BETWEEN 0 AND 9999999),
    CONSTRAINT handovers_meter_not_back CHECK (
        meter_tenth_hours IS NULL OR previous_tenth_hours IS NULL OR meter_tenth_hours >= previous_tenth_hours
        OR meter_reason <> ''
    ),
    CONSTRAINT handovers_signed CHECK (char_length(signed_name) BETWEEN 1 AND 120)
);
COMMENT ON TABLE handovers IS 'A club takes a machine over, or gives it back: signed, and never changed; countered by a new one.';
COMMENT ON COLUMN handovers.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN handovers.id IS 'UUIDv7, minted on the phone.';
COMMENT ON COLUMN handovers.booking_id IS 'For which booking.';
COMMENT ON COLUMN handovers.machine_id IS 'The machine of the booking.';
COMMENT ON COLUMN handovers.club_id IS 'The club of the booking.';
COMMENT ON COLUMN handovers.direction IS 'out: the club takes the machine over; in: it gives the machine back.';
COMMENT ON COLUMN handovers.revision IS '1, or one more than the handover it counters.';
COMMENT ON COLUMN handovers.counters IS 'The handover this one puts right.';
COMMENT ON COLUMN handovers.meter_tenth_hours IS 'The hour meter, in tenths of an hour; null for a machine without one.';
COMMENT ON COLUMN handovers.previous_tenth_hours IS 'The reading before it, when it was signed.';
COMMENT ON COLUMN handovers.meter_reason IS 'Why the meter stands lower than before; empty where it does not.';
COMMENT ON COLUMN handovers.tines_sound IS 'Tines, blades or brushes looked at and sound; null for a machine without.';
COMMENT ON COLUMN handovers.guards_sound IS 'Guards and shaft cover looked at and sound.';
COMMENT ON COLUMN handovers.washed_down IS 'Soil and grass washed off.';
COMMENT ON COLUMN handovers.note IS 'Free text.';
COMMENT ON COLUMN handovers.signed_name IS 'The name typed under it.';
COMMENT ON COLUMN handovers.signed_by IS 'The account it came from.';
COMMENT ON COLUMN handovers.signed_at IS 'When, by the clock of the phone.';
COMMENT ON COLUMN handovers.received_at IS 'When it arrived.';

ALTER TABLE handovers ENABLE ROW LEVEL SECURITY;
ALTER TABLE handovers FORCE ROW LEVEL SECURITY;
CREATE POLICY handovers_own_network ON handovers USING (network_id = current_network());
CREATE TRIGGER handovers_immutable BEFORE UPDATE OR DELETE ON handovers FOR EACH ROW EXECUTE FUNCTION refuse_change();
CREATE INDEX handovers_by_machine ON handovers (network_id, machine_id, signed_at);

CREATE TABLE faults (
    network_id uuid NOT NULL REFERENCES networks (id),
    id uuid NOT NULL,
    machine_id uuid NOT NULL,
    handover_id uuid,
    severity text NOT NULL,
    what text NOT NULL,
    told_by uuid NOT NULL REFERENCES people (id),
    told_at timestamptz NOT NULL,
    PRIMARY KEY (network_id, id),
    CONSTRAINT faults_machine FOREIGN KEY (network_id, machine_id) REFERENCES machines (network_id, id),
    CONSTRAINT faults_handover FOREIGN KEY (network_id, handover_id, machine_id) REFERENCES handovers (network_id, id, machine_id),
    CONSTRAINT faults_severity_known CHECK (severity IN ('usable', 'out_of_service')),
    CONSTRAINT faults_what_length CHECK (char_length(what) BETWEEN 1 AND 2000)
);
COMMENT ON TABLE faults IS 'What is wrong with a machine. Stands as told; ended by a clearing.';
COMMENT ON COLUMN faults.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN faults.id IS 'UUIDv7.';
COMMENT ON COLUMN faults.machine_id IS 'Which machine.';
COMMENT ON COLUMN faults.handover_id IS 'Found at this handover; null when told at another time.';
COMMENT ON COLUMN faults.severity IS 'usable: work can go on; out_of_service: nobody uses it until cleared.';
COMMENT ON COLUMN faults.what IS 'In words.';
COMMENT ON COLUMN faults.told_by IS 'Who told.';
COMMENT ON COLUMN faults.told_at IS 'When.';

ALTER TABLE faults ENABLE ROW LEVEL SECURITY;
ALTER TABLE faults FORCE ROW LEVEL SECURITY;
CREATE POLICY faults_own_network ON faults USING (network_id = current_network());
CREATE TRIGGER faults_immutable BEFORE UPDATE OR DELETE ON faults FOR EACH ROW EXECUTE FUNCTION refuse_change();
CREATE INDEX faults_by_machine ON faults (network_id, machine_id);

CREATE TABLE fault_photos (
    network_id uuid NOT NULL REFERENCES networks (id),
    fault_id uuid NOT NULL,
    attachment_id uuid NOT NULL,
    PRIMARY KEY (network_id, fault_id, attachment_id),
    CONSTRAINT fault_photos_fault FOREIGN KEY (network_id, fault_id) REFERENCES faults (network_id, id),
    CONSTRAINT fault_photos_attachment FOREIGN KEY (network_id, attachment_id) REFERENCES attachments (network_id, id)
);
COMMENT ON TABLE fault_photos IS 'Photos of a fault.';
COMMENT ON COLUMN fault_photos.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN fault_photos.fault_id IS 'Which fault.';
COMMENT ON COLUMN fault_photos.attachment_id IS 'The photo.';

ALTER TABLE fault_photos ENABLE ROW LEVEL SECURITY;
ALTER TABLE fault_photos FORCE ROW LEVEL SECURITY;
CREATE POLICY fault_photos_own_network ON fault_photos USING (network_id = current_network());
CREATE TRIGGER fault_photos_immutable BEFORE UPDATE OR DELETE ON fault_photos FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE TABLE fault_clearings (
    network_id uuid NOT NULL REFERENCES networks (id),
    fault_id uuid NOT NULL,
    note text NOT NULL,
    cleared_by uuid NOT NULL REFERENCES people (id),
    cleared_at timestamptz NOT NULL,
    PRIMARY KEY (network_id, fault_id),
    CONSTRAINT fault_clearings_fault FOREIGN KEY (network_id, fault_id) REFERENCES faults (network_id, id),
    CONSTRAINT fault_clearings_note_length CHECK (char_length(note) BETWEEN 1 AND 2000)
);
COMMENT ON TABLE fault_clearings IS 'The end of a fault: mended, or found to be none.';
COMMENT ON COLUMN fault_clearings.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN fault_clearings.fault_id IS 'Which fault.';
COMMENT ON COLUMN fault_clearings.note IS 'What was done.';
COMMENT ON COLUMN fault_clearings.cleared_by IS 'Who cleared it.';
COMMENT ON COLUMN fault_clearings.cleared_at IS 'When.';

ALTER TABLE fault_clearings ENABLE ROW LEVEL SECURITY;
ALTER TABLE fault_clearings FORCE ROW LEVEL SECURITY;
CREATE POLICY fault_clearings_own_network ON fault_clearings USING (network_id = current_network());
CREATE TRIGGER fault_clearings_immutable BEFORE UPDATE OR DELETE ON fault_clearings FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE TABLE booking_decisions (
    network_id uuid NOT NULL REFERENCES networks (id),
    booking_id uuid NOT NULL,
    fault_id uuid NOT NULL,
    asked_at timestamptz NOT NULL,
    decision text,
    note text NOT NULL DEFAULT '',
    decided_by uuid REFERENCES people (id),
    decided_at timestamptz,
    PRIMARY KEY (network_id, booking_id, fault_id),
    CONSTRAINT booking_decisions_booking FOREIGN KEY (network_id, booking_id) REFERENCES bookings (network_id, id),
    CONSTRAINT booking_decisions_fault FOREIGN KEY (network_id, fault_id) REFERENCES faults (network_id, id),
    CONSTRAINT booking_decisions_known CHECK (decision IN ('keep', 'move', 'cancel', 'other_machine', 'fault_cleared')),
    CONSTRAINT booking_decisions_whole CHECK ((decision IS NULL) = (decided_at IS NULL) AND (decision IS NULL) = (decided_by IS NULL))
);
COMMENT ON TABLE booking_decisions IS 'A booking behind a fault that took its machine out of service: it holds its place until decided.';
COMMENT ON COLUMN booking_decisions.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN booking_decisions.booking_id IS 'Which booking.';
COMMENT ON COLUMN booking_decisions.fault_id IS 'Because of which fault.';
COMMENT ON COLUMN booking_decisions.asked_at IS 'Since when it waits.';
COMMENT ON COLUMN booking_decisions.decision IS 'keep, move, cancel, other_machine, fault_cleared (nothing left to decide); null while it waits.';
COMMENT ON COLUMN booking_decisions.note IS 'What the coordinator said.';
COMMENT ON COLUMN booking_decisions.decided_by IS 'Who decided.';
COMMENT ON COLUMN booking_decisions.decided_at IS 'When.';

ALTER TABLE booking_decisions ENABLE ROW LEVEL SECURITY;
ALTER TABLE booking_decisions FORCE ROW LEVEL SECURITY;
CREATE POLICY booking_decisions_own_network ON booking_decisions USING (network_id = current_network());

CREATE FUNCTION bookings_machine_serves() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF EXISTS (
        SELECT FROM faults f WHERE f.network_id = NEW.network_id AND f.machine_id = NEW.machine_id
            AND f.severity = 'out_of_service'
            AND NOT EXISTS (SELECT FROM fault_clearings c WHERE c.network_id = f.network_id AND c.fault_id = f.id)
    ) THEN
        RAISE EXCEPTION 'the machine is out of service'
            USING ERRCODE = 'check_violation', CONSTRAINT = 'bookings_machine_serves';
    END IF;
    RETURN NEW;
END
$$;
COMMENT ON FUNCTION bookings_machine_serves() IS
    'Nobody books, is offered or swaps for a machine that is out of service, nor brings a booking of it forward; moving it back stays open.';
CREATE TRIGGER bookings_machine_serves_new BEFORE INSERT ON bookings
    FOR EACH ROW WHEN (NEW.state IN ('asked', 'agreed', 'offered')) EXECUTE FUNCTION bookings_machine_serves();
CREATE TRIGGER bookings_machine_serves_changed BEFORE UPDATE OF span, machine_id ON bookings
    FOR EACH ROW WHEN (
        NEW.state IN ('asked', 'agreed') AND (NEW.machine_id <> OLD.machine_id OR lower(NEW.span) < lower(OLD.span))
    )
    EXECUTE FUNCTION bookings_machine_serves();
CREATE TRIGGER bookings_machine_serves_taken BEFORE UPDATE OF state ON bookings
    FOR EACH ROW WHEN (OLD.state = 'offered' AND NEW.state IN ('asked', 'agreed'))
    EXECUTE FUNCTION bookings_machine_serves();

CREATE TABLE service_plans (
    network_id uuid NOT NULL REFERENCES networks (id),
    id uuid NOT NULL,
    machine_id uuid NOT NULL,
    what text NOT NULL,
    every_hours integer,
    every_months integer,
    first_on date NOT NULL,
    first_tenth_hours integer NOT NULL,
    ended_at timestamptz,
    PRIMARY KEY (network_id, id),
    CONSTRAINT service_plans_machine FOREIGN KEY (network_id, machine_id) REFERENCES machines (network_id, id),
    CONSTRAINT service_plans_what_length CHECK (char_length(what) BETWEEN 1 AND 120),
    CONSTRAINT service_plans_every CHECK (num_nonnulls(every_hours, every_months) >= 1),
    CONSTRAINT service_plans_every_hours CHECK (every_hours BETWEEN 1 AND 10000),
    CONSTRAINT service_plans_every_months CHECK (every_months BETWEEN 1 AND 120),
    CONSTRAINT service_plans_first CHECK (first_tenth_hours BETWEEN 0 AND 9999999)
);
COMMENT ON TABLE service_plans IS 'What is to be done to a machine again and again, by hours run or by date.';
COMMENT ON COLUMN service_plans.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN service_plans.id IS 'UUIDv7.';
COMMENT ON COLUMN service_plans.machine_id IS 'Which machine.';
COMMENT ON COLUMN service_plans.what IS 'Such as: grease the shaft.';
COMMENT ON COLUMN service_plans.every_hours IS 'Hours run between two; null: hours do not count.';
COMMENT ON COLUMN service_plans.every_months IS 'Months between two; null: dates do not count.';
COMMENT ON COLUMN service_plans.first_on IS 'Counted from this date until it is first done.';
COMMENT ON COLUMN service_plans.first_tenth_hours IS 'Counted from this meter reading until it is first done.';
COMMENT ON COLUMN service_plans.ended_at IS 'No longer wanted since then.';

ALTER TABLE service_plans ENABLE ROW LEVEL SECURITY;
ALTER TABLE service_plans FORCE ROW LEVEL SECURITY;
CREATE POLICY service_plans_own_network ON service_plans USING (network_id = current_network());

CREATE TABLE services_done (
    network_id uuid NOT NULL REFERENCES networks (id),
    id uuid NOT NULL,
    plan_id uuid NOT NULL,
    done_on date NOT NULL,
    meter_tenth_hours integer,
    note text NOT NULL DEFAULT '',
    entered_by uuid NOT NULL REFERENCES people (id),
    entered_at timestamptz NOT NULL,
    PRIMARY KEY (network_id, id),
    CONSTRAINT services_done_plan FOREIGN KEY (network_id, plan_id) REFERENCES service_plans (network_id, id),
    CONSTRAINT services_done_meter CHECK (meter_tenth_hours BETWEEN 0 AND 9999999)
);
COMMENT ON TABLE services_done IS 'A service that was done.';
COMMENT ON COLUMN services_done.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN services_done.id IS 'UUIDv7.';
COMMENT ON COLUMN services_done.plan_id IS 'Of which plan.';
COMMENT ON COLUMN services_done.done_on IS 'On which date.';
COMMENT ON COLUMN services_done.meter_tenth_hours IS 'The hour meter then, in tenths of an hour; null where it was not read.';
COMMENT ON COLUMN services_done.note IS 'Free text.';
COMMENT ON COLUMN services_done.entered_by IS 'Who entered it.';
COMMENT ON COLUMN services_done.entered_at IS 'When.';

ALTER TABLE services_done ENABLE ROW LEVEL SECURITY;
ALTER TABLE services_done FORCE ROW LEVEL SECURITY;
CREATE POLICY services_done_own_network ON services_done USING (network_id = current_network());
CREATE TRIGGER services_done_immutable BEFORE UPDATE OR DELETE ON services_done FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE TABLE service_notices (
    network_id uuid NOT NULL REFERENCES networks (id),
    plan_id uuid NOT NULL,
    after_on date NOT NULL,
    standing text NOT NULL,
    told_at timestamptz NOT NULL,
    PRIMARY KEY (network_id, plan_id, after_on, standing),
    CONSTRAINT service_notices_plan FOREIGN KEY (network_id, plan_id) REFERENCES service_plans (network_id, id),
    CONSTRAINT service_notices_standing_known CHECK (standing IN ('due', 'overdue'))
);
COMMENT ON TABLE service_notices IS 'The owner was told, once for each time a service falls due.';
COMMENT ON COLUMN service_notices.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN service_notices.plan_id IS 'Of which plan.';
COMMENT ON COLUMN service_notices.after_on IS 'The date it was last done, or first counted from.';
COMMENT ON COLUMN service_notices.standing IS 'due or overdue.';
COMMENT ON COLUMN service_notices.told_at IS 'When.';

ALTER TABLE service_notices ENABLE ROW LEVEL SECURITY;
ALTER TABLE service_notices FORCE ROW LEVEL SECURITY;
CREATE POLICY service_notices_own_network ON service_notices USING (network_id = current_network());
CREATE TRIGGER service_notices_immutable BEFORE UPDATE OR DELETE ON service_notices FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE TABLE machine_manuals (
    network_id uuid NOT NULL REFERENCES networks (id),
    machine_id uuid NOT NULL,
    attachment_id uuid NOT NULL,
    title text NOT NULL,
    PRIMARY KEY (network_id, machine_id, attachment_id),
    CONSTRAINT machine_manuals_machine FOREIGN KEY (network_id, machine_id) REFERENCES machines (network_id, id),
    CONSTRAINT machine_manuals_attachment FOREIGN KEY (network_id, attachment_id) REFERENCES attachments (network_id, id),
    CONSTRAINT machine_manuals_title_length CHECK (char_length(title) BETWEEN 1 AND 120)
);
COMMENT ON TABLE machine_manuals IS 'The maker''s papers of a machine.';
COMMENT ON COLUMN machine_manuals.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN machine_manuals.machine_id IS 'Which machine.';
COMMENT ON COLUMN machine_manuals.attachment_id IS 'The file.';
COMMENT ON COLUMN machine_manuals.title IS 'What it is.';

ALTER TABLE machine_manuals ENABLE ROW LEVEL SECURITY;
ALTER TABLE machine_manuals FORCE ROW LEVEL SECURITY;
CREATE POLICY machine_manuals_own_network ON machine_manuals USING (network_id = current_network());

CREATE TABLE trainings (
    network_id uuid NOT NULL REFERENCES networks (id),
    id uuid NOT NULL,
    club_id uuid NOT NULL,
    person_name text NOT NULL,
    machine_id uuid,
    machine_kind text,
    trained_on date NOT NULL,
    until_on date,
    note text NOT NULL DEFAULT '',
    noted_by uuid NOT NULL REFERENCES people (id),
    noted_at timestamptz NOT NULL,
    withdrawn_at timestamptz,
    PRIMARY KEY (network_id, id),
    CONSTRAINT trainings_club FOREIGN KEY (network_id, club_id) REFERENCES clubs (network_id, id),
    CONSTRAINT trainings_machine FOREIGN KEY (network_id, machine_id) REFERENCES machines (network_id, id),
    CONSTRAINT trainings_of_one CHECK (num_nonnulls(machine_id, machine_kind) = 1),
    CONSTRAINT trainings_kind_known CHECK (machine_kind IN ('deep_tine_aerator', 'spiker', 'slitter', 'topdresser', 'seeder', 'brush', 'mower', 'other')),
    CONSTRAINT trainings_name_length CHECK (char_length(person_name) BETWEEN 1 AND 120),
    CONSTRAINT trainings_until CHECK (until_on >= trained_on)
);
COMMENT ON TABLE trainings IS 'Who was shown how to work a machine, or a kind of machine, as the coordinator noted.';
COMMENT ON COLUMN trainings.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN trainings.id IS 'UUIDv7.';
COMMENT ON COLUMN trainings.club_id IS 'At which club.';
COMMENT ON COLUMN trainings.person_name IS 'Who; the person needs no account.';
COMMENT ON COLUMN trainings.machine_id IS 'On this machine, or';
COMMENT ON COLUMN trainings.machine_kind IS 'on every machine of this kind.';
COMMENT ON COLUMN trainings.trained_on IS 'On which date.';
COMMENT ON COLUMN trainings.until_on IS 'The last date it counts; null: it does not run out.';
COMMENT ON COLUMN trainings.note IS 'Free text.';
COMMENT ON COLUMN trainings.noted_by IS 'Who noted it.';
COMMENT ON COLUMN trainings.noted_at IS 'When.';
COMMENT ON COLUMN trainings.withdrawn_at IS 'No longer counts since then.';

ALTER TABLE trainings ENABLE ROW LEVEL SECURITY;
ALTER TABLE trainings FORCE ROW LEVEL SECURITY;
CREATE POLICY trainings_own_network ON trainings USING (network_id = current_network());
CREATE INDEX trainings_by_club ON trainings (network_id, club_id);

CREATE TABLE training_rules (
    network_id uuid NOT NULL REFERENCES networks (id),
    machine_id uuid NOT NULL,
    warns boolean NOT NULL,
    PRIMARY KEY (network_id, machine_id),
    CONSTRAINT training_rules_machine FOREIGN KEY (network_id, machine_id) REFERENCES machines (network_id, id)
);
COMMENT ON TABLE training_rules IS 'Machines for which a booking by a club without a trained person is warned about.';
COMMENT ON COLUMN training_rules.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN training_rules.machine_id IS 'Which machine.';
COMMENT ON COLUMN training_rules.warns IS 'Whether it warns; without a row it does not.';

ALTER TABLE training_rules ENABLE ROW LEVEL SECURITY;
ALTER TABLE training_rules FORCE ROW LEVEL SECURITY;
CREATE POLICY training_rules_own_network ON training_rules USING (network_id = current_network());
