CREATE TABLE attachments (
    network_id uuid NOT NULL REFERENCES networks (id),
    id uuid NOT NULL,
    club_id uuid,
    file_name text NOT NULL,
    media_type text NOT NULL,
    size_bytes integer NOT NULL,
    sent_sha256 bytea NOT NULL,
    uploaded_by uuid NOT NULL REFERENCES people (id),
    uploaded_at timestamptz NOT NULL,
    PRIMARY KEY (network_id, id),
    CONSTRAINT attachments_club FOREIGN KEY (network_id, club_id) REFERENCES clubs (network_id, id),
    CONSTRAINT attachments_name_length CHECK (char_length(file_name) BETWEEN 1 AND 120),
    CONSTRAINT attachments_media_type_known CHECK (media_type IN ('application/pdf', 'image/jpeg')),
    CONSTRAINT attachments_size CHECK (size_bytes BETWEEN 1 AND 15728640),
    CONSTRAINT attachments_sent_sha256 CHECK (octet_length(sent_sha256) = 32)
);
COMMENT ON TABLE attachments IS 'A file that a row refers to: a maker''s manual, a photo. Its bytes lie in the object store under network/id.';
COMMENT ON COLUMN attachments.network_id IS 'The network; nothing crosses it.';
COMMENT ON COLUMN attachments.id IS 'UUIDv7, minted by the sender, so that sending again is the same file.';
COMMENT ON COLUMN attachments.club_id IS 'Shown to this club and the coordinators only; null: to the whole network.';
COMMENT ON COLUMN attachments.file_name IS 'What it is called when saved.';
COMMENT ON COLUMN attachments.media_type IS 'Found by looking into the file: application/pdf, or image/jpeg for every picture, made anew.';
COMMENT ON COLUMN attachments.size_bytes IS 'Of the object as kept.';
COMMENT ON COLUMN attachments.sent_sha256 IS 'Of the bytes as sent, to tell the same file sent again from another.';
COMMENT ON COLUMN attachments.uploaded_by IS 'Who sent it.';
COMMENT ON COLUMN attachments.uploaded_at IS 'When.';

ALTER TABLE attachments ENABLE ROW LEVEL SECURITY;
ALTER TABLE attachments FORCE ROW LEVEL SECURITY;
CREATE POLICY attachments_own_network ON attachments USING (network_id = current_network());
CREATE TRIGGER attachments_immutable BEFORE UPDATE ON attachments FOR EACH ROW EXECUTE FUNCTION refuse_change();
