ALTER TABLE rounds ADD COLUMN offers_on boolean NOT NULL DEFAULT true;
COMMENT ON COLUMN rounds.offers_on IS 'Whether a place that is declined, or not answered in time, is offered to the next best.';

ALTER TABLE round_offers ADD COLUMN reminded_at timestamptz;
COMMENT ON COLUMN round_offers.reminded_at IS 'When the club was reminded last; null where it was not.';

CREATE FUNCTION withdraw_round_offers() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    UPDATE round_offers SET state = 'withdrawn'
        WHERE network_id = NEW.network_id AND round_id = NEW.id AND state IN ('offered', 'accepted');
    RETURN NULL;
END
$$;
COMMENT ON FUNCTION withdraw_round_offers() IS 'A round that is called off leaves no place on offer: its machines can be offered by others.';
CREATE TRIGGER rounds_withdraw_offers AFTER UPDATE OF state ON rounds
    FOR EACH ROW WHEN (NEW.state = 'called_off') EXECUTE FUNCTION withdraw_round_offers();
