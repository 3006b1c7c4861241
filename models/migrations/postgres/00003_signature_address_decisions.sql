-- +goose Up
ALTER TABLE workshops ADD COLUMN address TEXT NOT NULL DEFAULT '';

ALTER TABLE people ADD COLUMN password_chosen_at TIMESTAMPTZ;
ALTER TABLE people ADD COLUMN password_link_by TEXT NOT NULL DEFAULT '';

ALTER TABLE one_time_links ADD COLUMN made_by TEXT REFERENCES people (id);
ALTER TABLE one_time_links ADD COLUMN made_at TIMESTAMPTZ;

ALTER TABLE reviews ADD COLUMN password_chosen_at TIMESTAMPTZ;
ALTER TABLE reviews ADD COLUMN password_link_by TEXT NOT NULL DEFAULT '';

ALTER TABLE answers ADD COLUMN decisions TEXT;

ALTER TABLE flag_steps ADD COLUMN ask_again_on TEXT NOT NULL DEFAULT '';

ALTER TABLE checkin_limbs ADD COLUMN second_not_done TEXT NOT NULL DEFAULT '' CHECK (second_not_done IN ('', 'gone', 'time', 'pain', 'declined', 'skin'));
ALTER TABLE checkin_limbs ADD COLUMN second_reading_at TIMESTAMPTZ;
ALTER TABLE checkin_limbs ADD COLUMN second_minutes_off DOUBLE PRECISION CHECK (second_minutes_off BETWEEN 0 AND 2880);
