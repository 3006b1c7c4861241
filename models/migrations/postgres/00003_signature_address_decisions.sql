-- +goose Up
ALTER TABLE workshops ADD COLUMN address TEXT NOT NULL DEFAULT '';

ALTER TABLE people ADD COLUMN password_chosen_at TIMESTAMPTZ;
ALTER TABLE people ADD COLUMN password_link_by TEXT NOT NULL DEFAULT '';

ALTER TABLE reviews ADD COLUMN password_chosen_at TIMESTAMPTZ;
ALTER TABLE reviews ADD COLUMN password_link_by TEXT NOT NULL DEFAULT '';

ALTER TABLE answers ADD COLUMN decisions TEXT;
