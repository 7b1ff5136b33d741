DROP TABLE products;
DROP TABLE suppliers;
