DROP TRIGGER rounds_withdraw_offers ON rounds;
DROP FUNCTION withdraw_round_offers();
ALTER TABLE round_offers DROP COLUMN reminded_at;
ALTER TABLE rounds DROP COLUMN offers_on;
