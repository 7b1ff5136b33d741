DROP TRIGGER pooled_orders_shares_sum ON pooled_orders;
DROP TABLE shares;
DROP FUNCTION shares_sum();
DROP TABLE order_lines;
DROP FUNCTION order_lines_gate();
DROP TABLE price_breaks;
DROP TABLE pooled_orders;
