CREATE TABLE suppliers (
    network_id uuid NOT NULL REFERENCES networks (id),
    id uuid NOT NULL,
    name text NOT NULL,
    email text,
    phone text,
    note text NOT NULL DEFAULT '',
    version integer NOT NULL DEFAULT 1,
    created_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (network_id, id),
    CONSTRAINT suppliers_name_once UNIQUE (network_id, name),
    CONSTRAINT suppliers_name_length CHECK (char_length(name) BETWEEN 1 AND 120)
);
COMMENT ON TABLE suppliers IS 'Who sells materials or hires out machines; has no account, gets papers.';
COMMENT ON COLUMN suppliers.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN suppliers.id IS 'UUIDv7.';
COMMENT ON COLUMN suppliers.name IS 'Unique in the network.';
COMMENT ON COLUMN suppliers.email IS 'Where papers go; null if unknown.';
COMMENT ON COLUMN suppliers.phone IS 'As dialled; null if unknown.';
COMMENT ON COLUMN suppliers.note IS 'Free text.';
COMMENT ON COLUMN suppliers.version IS 'Counts changes; the ETag of what people edit together.';
COMMENT ON COLUMN suppliers.created_at IS 'When it was entered.';

ALTER TABLE suppliers ENABLE ROW LEVEL SECURITY;
ALTER TABLE suppliers FORCE ROW LEVEL SECURITY;
CREATE POLICY suppliers_own_network ON suppliers USING (network_id = current_network());

CREATE TABLE products (
    network_id uuid NOT NULL REFERENCES networks (id),
    id uuid NOT NULL,
    name text NOT NULL,
    kind text NOT NULL,
    sold_by text NOT NULL,
    unit_kg bigint NOT NULL,
    vat_basis_points integer NOT NULL,
    note text NOT NULL DEFAULT '',
    version integer NOT NULL DEFAULT 1,
    created_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (network_id, id),
    CONSTRAINT products_name_once UNIQUE (network_id, name),
    CONSTRAINT products_name_length CHECK (char_length(name) BETWEEN 1 AND 120),
    CONSTRAINT products_kind_known CHECK (kind IN ('sand', 'seed', 'feed', 'other')),
    CONSTRAINT products_unit CHECK ((sold_by = 'tonne' AND unit_kg = 1000) OR (sold_by = 'bag' AND unit_kg BETWEEN 1 AND 1000)),
    CONSTRAINT products_vat CHECK (vat_basis_points BETWEEN 0 AND 10000)
);
COMMENT ON TABLE products IS 'What can be ordered.';
COMMENT ON COLUMN products.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN products.id IS 'UUIDv7.';
COMMENT ON COLUMN products.name IS 'Generic name, unique in the network.';
COMMENT ON COLUMN products.kind IS 'sand, seed, feed, other.';
COMMENT ON COLUMN products.sold_by IS 'tonne or bag: what a price is for.';
COMMENT ON COLUMN products.unit_kg IS 'Mass of one tonne or one bag, kg.';
COMMENT ON COLUMN products.vat_basis_points IS 'VAT rate, 1/100 of a per cent; entered, never assumed.';
COMMENT ON COLUMN products.note IS 'Free text, such as where the VAT rate comes from.';
COMMENT ON COLUMN products.version IS 'Counts changes; the ETag of what people edit together.';
COMMENT ON COLUMN products.created_at IS 'When it was entered.';

ALTER TABLE products ENABLE ROW LEVEL SECURITY;
ALTER TABLE products FORCE ROW LEVEL SECURITY;
CREATE POLICY products_own_network ON products USING (network_id = current_network());
