CREATE TABLE pooled_orders (
    network_id uuid NOT NULL REFERENCES networks (id),
    id uuid NOT NULL,
    title text NOT NULL,
    product_id uuid NOT NULL,
    supplier_id uuid NOT NULL,
    unit_kg bigint NOT NULL,
    pack_kg bigint NOT NULL,
    vat_basis_points integer NOT NULL,
    smallest_kg bigint NOT NULL,
    closes_at timestamptz NOT NULL,
    delivery_from_on date NOT NULL,
    delivery_until_on date NOT NULL,
    note text NOT NULL DEFAULT '',
    state text NOT NULL DEFAULT 'gathering',
    closed_at timestamptz,
    total_kg bigint,
    price_pence bigint,
    goods_pence bigint,
    vat_pence bigint,
    called_off_reason text,
    opened_by uuid NOT NULL REFERENCES people (id),
    version integer NOT NULL DEFAULT 1,
    created_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (network_id, id),
    CONSTRAINT pooled_orders_product FOREIGN KEY (network_id, product_id) REFERENCES products (network_id, id),
    CONSTRAINT pooled_orders_supplier FOREIGN KEY (network_id, supplier_id) REFERENCES suppliers (network_id, id),
    CONSTRAINT pooled_orders_title_length CHECK (char_length(title) BETWEEN 1 AND 120),
    CONSTRAINT pooled_orders_pack CHECK (unit_kg > 0 AND pack_kg BETWEEN 1 AND 100000),
    CONSTRAINT pooled_orders_vat CHECK (vat_basis_points BETWEEN 0 AND 10000),
    CONSTRAINT pooled_orders_smallest CHECK (smallest_kg >= 0),
    CONSTRAINT pooled_orders_delivery CHECK (delivery_from_on <= delivery_until_on),
    CONSTRAINT pooled_orders_state_known CHECK (state IN ('gathering', 'closed', 'placed', 'delivered', 'settled', 'called_off')),
    CONSTRAINT pooled_orders_reckoned CHECK (
        CASE WHEN state = 'gathering' THEN num_nonnulls(closed_at, total_kg, price_pence, goods_pence, vat_pence) = 0
             WHEN state = 'called_off' THEN called_off_reason IS NOT NULL
             ELSE num_nulls(closed_at, total_kg, price_pence, goods_pence, vat_pence) = 0 END
    )
);
CREATE INDEX pooled_orders_by_closing ON pooled_orders (network_id, state, closes_at);
COMMENT ON TABLE pooled_orders IS 'One joint purchase.';
COMMENT ON COLUMN pooled_orders.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN pooled_orders.id IS 'UUIDv7.';
COMMENT ON COLUMN pooled_orders.title IS 'As members see it.';
COMMENT ON COLUMN pooled_orders.product_id IS 'What is bought.';
COMMENT ON COLUMN pooled_orders.supplier_id IS 'From whom.';
COMMENT ON COLUMN pooled_orders.unit_kg IS 'Mass a price is for, kg: one tonne or one bag.';
COMMENT ON COLUMN pooled_orders.pack_kg IS 'Quantities are whole multiples of this.';
COMMENT ON COLUMN pooled_orders.vat_basis_points IS 'VAT rate of the product in this order, 1/100 of a per cent.';
COMMENT ON COLUMN pooled_orders.smallest_kg IS 'Below this total the order is called off at closing.';
COMMENT ON COLUMN pooled_orders.closes_at IS 'Lines can be changed until then; then it closes by itself.';
COMMENT ON COLUMN pooled_orders.delivery_from_on IS 'First day of the delivery window.';
COMMENT ON COLUMN pooled_orders.delivery_until_on IS 'Last day of the delivery window.';
COMMENT ON COLUMN pooled_orders.note IS 'Free text.';
COMMENT ON COLUMN pooled_orders.state IS 'gathering, closed, placed, delivered, settled, called_off.';
COMMENT ON COLUMN pooled_orders.closed_at IS 'When it closed; null while gathering.';
COMMENT ON COLUMN pooled_orders.total_kg IS 'All lines, fixed at closing.';
COMMENT ON COLUMN pooled_orders.price_pence IS 'Price per unit excluding VAT, fixed at closing.';
COMMENT ON COLUMN pooled_orders.goods_pence IS 'Goods excluding VAT, fixed at closing.';
COMMENT ON COLUMN pooled_orders.vat_pence IS 'VAT, fixed at closing.';
COMMENT ON COLUMN pooled_orders.called_off_reason IS 'Why it was called off.';
COMMENT ON COLUMN pooled_orders.opened_by IS 'The coordinator who opened it.';
COMMENT ON COLUMN pooled_orders.version IS 'Counts changes; the ETag of what people edit together.';
COMMENT ON COLUMN pooled_orders.created_at IS 'When it was opened.';

ALTER TABLE pooled_orders ENABLE ROW LEVEL SECURITY;
ALTER TABLE pooled_orders FORCE ROW LEVEL SECURITY;
CREATE POLICY pooled_orders_own_network ON pooled_orders USING (network_id = current_network());

CREATE TABLE price_breaks (
    network_id uuid NOT NULL REFERENCES networks (id),
    order_id uuid NOT NULL,
    from_kg bigint NOT NULL,
    price_pence bigint NOT NULL,
    PRIMARY KEY (network_id, order_id, from_kg),
    CONSTRAINT price_breaks_order FOREIGN KEY (network_id, order_id) REFERENCES pooled_orders (network_id, id),
    CONSTRAINT price_breaks_from CHECK (from_kg >= 0),
    CONSTRAINT price_breaks_price CHECK (price_pence > 0)
);
COMMENT ON TABLE price_breaks IS 'From this total on, every unit costs this much.';
COMMENT ON COLUMN price_breaks.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN price_breaks.order_id IS 'Which order.';
COMMENT ON COLUMN price_breaks.from_kg IS 'Total of all lines, kg.';
COMMENT ON COLUMN price_breaks.price_pence IS 'Per unit, excluding VAT.';

ALTER TABLE price_breaks ENABLE ROW LEVEL SECURITY;
ALTER TABLE price_breaks FORCE ROW LEVEL SECURITY;
CREATE POLICY price_breaks_own_network ON price_breaks USING (network_id = current_network());

CREATE TABLE order_lines (
    network_id uuid NOT NULL REFERENCES networks (id),
    order_id uuid NOT NULL,
    club_id uuid NOT NULL,
    quantity_kg bigint NOT NULL,
    changed_by uuid NOT NULL REFERENCES people (id),
    changed_at timestamptz NOT NULL DEFAULT now(),
    version integer NOT NULL DEFAULT 1,
    PRIMARY KEY (network_id, order_id, club_id),
    CONSTRAINT order_lines_order FOREIGN KEY (network_id, order_id) REFERENCES pooled_orders (network_id, id),
    CONSTRAINT order_lines_club FOREIGN KEY (network_id, club_id) REFERENCES clubs (network_id, id),
    CONSTRAINT order_lines_quantity CHECK (quantity_kg BETWEEN 1 AND 3000000)
);
COMMENT ON TABLE order_lines IS 'One club''s quantity in a pooled order.';
COMMENT ON COLUMN order_lines.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN order_lines.order_id IS 'Which order.';
COMMENT ON COLUMN order_lines.club_id IS 'Whose line.';
COMMENT ON COLUMN order_lines.quantity_kg IS 'Whole packs, kg.';
COMMENT ON COLUMN order_lines.changed_by IS 'Who changed it last.';
COMMENT ON COLUMN order_lines.changed_at IS 'When.';
COMMENT ON COLUMN order_lines.version IS 'Counts changes.';

ALTER TABLE order_lines ENABLE ROW LEVEL SECURITY;
ALTER TABLE order_lines FORCE ROW LEVEL SECURITY;
CREATE POLICY order_lines_own_network ON order_lines USING (network_id = current_network());

CREATE FUNCTION order_lines_gate() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
    the_order record;
    line order_lines := CASE WHEN TG_OP = 'DELETE' THEN OLD ELSE NEW END;
BEGIN
    -- The share lock waits for a closing under way and makes it wait for us.
    SELECT state, closes_at, pack_kg INTO the_order FROM pooled_orders
        WHERE network_id = line.network_id AND id = line.order_id FOR SHARE;
    IF the_order.state <> 'gathering' OR clock_timestamp() >= the_order.closes_at THEN
        RAISE EXCEPTION 'the order no longer gathers'
            USING ERRCODE = 'check_violation', CONSTRAINT = 'order_lines_gathering';
    END IF;
    IF line.quantity_kg % the_order.pack_kg <> 0 THEN
        RAISE EXCEPTION 'not whole packs' USING ERRCODE = 'check_violation', CONSTRAINT = 'order_lines_whole_packs';
    END IF;
    RETURN line;
END
$$;
COMMENT ON FUNCTION order_lines_gate() IS 'Lines change only while their order gathers, and come in whole packs.';
CREATE TRIGGER order_lines_gate BEFORE INSERT OR UPDATE OR DELETE ON order_lines
    FOR EACH ROW EXECUTE FUNCTION order_lines_gate();

CREATE TABLE shares (
    network_id uuid NOT NULL REFERENCES networks (id),
    order_id uuid NOT NULL,
    club_id uuid NOT NULL,
    quantity_kg bigint NOT NULL,
    goods_pence bigint NOT NULL,
    vat_pence bigint NOT NULL,
    alone_goods_pence bigint NOT NULL,
    alone_vat_pence bigint NOT NULL,
    entered_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (network_id, order_id, club_id),
    CONSTRAINT shares_line FOREIGN KEY (network_id, order_id, club_id) REFERENCES order_lines (network_id, order_id, club_id),
    CONSTRAINT shares_not_negative CHECK (goods_pence >= 0 AND vat_pence >= 0),
    CONSTRAINT shares_not_above_alone CHECK (goods_pence + vat_pence <= alone_goods_pence + alone_vat_pence)
);
COMMENT ON TABLE shares IS 'What a club owes for a pooled order; entered at closing, never changed.';
COMMENT ON COLUMN shares.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN shares.order_id IS 'Which order.';
COMMENT ON COLUMN shares.club_id IS 'Who owes.';
COMMENT ON COLUMN shares.quantity_kg IS 'The line it was reckoned from.';
COMMENT ON COLUMN shares.goods_pence IS 'Excluding VAT.';
COMMENT ON COLUMN shares.vat_pence IS 'VAT.';
COMMENT ON COLUMN shares.alone_goods_pence IS 'The same quantity bought alone, excluding VAT.';
COMMENT ON COLUMN shares.alone_vat_pence IS 'VAT on that.';
COMMENT ON COLUMN shares.entered_at IS 'When the order closed.';

ALTER TABLE shares ENABLE ROW LEVEL SECURITY;
ALTER TABLE shares FORCE ROW LEVEL SECURITY;
CREATE POLICY shares_own_network ON shares USING (network_id = current_network());

CREATE TRIGGER shares_immutable BEFORE UPDATE OR DELETE ON shares FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE FUNCTION shares_sum() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
    the_order pooled_orders := CASE WHEN TG_TABLE_NAME = 'pooled_orders' THEN NEW ELSE NULL END;
    owed record;
BEGIN
    IF TG_TABLE_NAME = 'shares' THEN
        SELECT * INTO the_order FROM pooled_orders WHERE network_id = NEW.network_id AND id = NEW.order_id;
    END IF;
    SELECT coalesce(sum(goods_pence), 0) AS goods, coalesce(sum(vat_pence), 0) AS vat, coalesce(sum(quantity_kg), 0) AS kg
        INTO owed FROM shares WHERE network_id = the_order.network_id AND order_id = the_order.id;
    IF the_order.total_kg IS NULL AND owed.kg = 0 THEN
        RETURN NULL;
    END IF;
    IF owed.goods IS DISTINCT FROM the_order.goods_pence OR owed.vat IS DISTINCT FROM the_order.vat_pence
        OR owed.kg IS DISTINCT FROM the_order.total_kg THEN
        RAISE EXCEPTION 'shares do not sum to the order'
            USING ERRCODE = 'check_violation', CONSTRAINT = 'shares_sum_to_order';
    END IF;
    RETURN NULL;
END
$$;
COMMENT ON FUNCTION shares_sum() IS 'At commit the shares of an order sum to its goods, VAT and quantity.';
CREATE CONSTRAINT TRIGGER shares_sum_to_order AFTER INSERT ON shares
    DEFERRABLE INITIALLY DEFERRED FOR EACH ROW EXECUTE FUNCTION shares_sum();
CREATE CONSTRAINT TRIGGER pooled_orders_shares_sum AFTER UPDATE ON pooled_orders
    DEFERRABLE INITIALLY DEFERRED FOR EACH ROW EXECUTE FUNCTION shares_sum();
