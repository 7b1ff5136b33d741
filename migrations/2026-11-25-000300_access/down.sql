DROP TABLE idempotency_keys;
DROP TABLE invitations;
DROP TABLE sign_in_attempts;
DROP TABLE password_resets;
DROP TABLE refresh_tokens;
