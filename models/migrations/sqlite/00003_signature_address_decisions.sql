-- +goose Up
ALTER TABLE workshops ADD COLUMN address TEXT NOT NULL DEFAULT '';

ALTER TABLE people ADD COLUMN password_chosen_at DATETIME;
ALTER TABLE people ADD COLUMN password_link_by TEXT NOT NULL DEFAULT '';

ALTER TABLE one_time_links ADD COLUMN made_by TEXT REFERENCES people (id);
ALTER TABLE one_time_links ADD COLUMN made_at DATETIME;

ALTER TABLE reviews ADD COLUMN password_chosen_at DATETIME;
ALTER TABLE reviews ADD COLUMN password_link_by TEXT NOT NULL DEFAULT '';

ALTER TABLE answers ADD COLUMN decisions TEXT;

ALTER TABLE flag_steps ADD COLUMN ask_again_on TEXT NOT NULL DEFAULT '';

ALTER TABLE checkin_limbs ADD COLUMN second_not_done TEXT NOT NULL DEFAULT '' CHECK (second_not_done IN ('', 'gone', 'time', 'pain', 'declined', 'skin'));
ALTER TABLE checkin_limbs ADD COLUMN second_reading_at DATETIME;
ALTER TABLE checkin_limbs ADD COLUMN second_minutes_off REAL CHECK (second_minutes_off BETWEEN 0 AND 2880);

CREATE TABLE care_team_changes (
    id          TEXT        NOT NULL PRIMARY KEY,
    client_id   TEXT        NOT NULL REFERENCES clients (id),
    person_id   TEXT        NOT NULL REFERENCES people (id),
    change      TEXT        NOT NULL CHECK (change IN ('on', 'off', 'deputy', 'no-deputy')),
    prosthetist BOOLEAN     NOT NULL,
    made_by     TEXT        NOT NULL REFERENCES people (id),
    made_at     DATETIME    NOT NULL
);
CREATE INDEX care_team_changes_client_id ON care_team_changes (client_id, made_at);

ALTER TABLE report_drafts ADD COLUMN told_at DATETIME;
ALTER TABLE report_drafts ADD COLUMN dealt_at DATETIME;
ALTER TABLE report_drafts ADD COLUMN dealt_by TEXT REFERENCES people (id);
CREATE INDEX report_drafts_told ON report_drafts (told_at) WHERE sent_at IS NULL AND dealt_at IS NULL;
