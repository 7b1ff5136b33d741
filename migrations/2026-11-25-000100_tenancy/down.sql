DROP FUNCTION refuse_change();
DROP FUNCTION in_scope(text);
DROP FUNCTION current_person();
DROP FUNCTION current_network();
ALTER DEFAULT PRIVILEGES IN SCHEMA public REVOKE SELECT, INSERT, UPDATE, DELETE ON TABLES FROM turfring_app;
REVOKE USAGE ON SCHEMA public FROM turfring_app;
-- The role stays: other databases of the cluster may use it.
DROP EXTENSION btree_gist;
