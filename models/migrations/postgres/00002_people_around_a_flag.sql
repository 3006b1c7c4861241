-- +goose Up
ALTER TABLE workshops ADD COLUMN phone TEXT NOT NULL DEFAULT '';
ALTER TABLE workshops ADD COLUMN emergency_phone TEXT NOT NULL DEFAULT '';
ALTER TABLE workshops ADD COLUMN reads_reports_at TEXT NOT NULL DEFAULT '';
ALTER TABLE workshops ADD COLUMN reads_reports_on TEXT;

ALTER TABLE people ADD COLUMN away_until TEXT NOT NULL DEFAULT '';

CREATE TABLE report_links (
    id           TEXT     NOT NULL PRIMARY KEY,
    token_hash   TEXT     NOT NULL UNIQUE,
    client_id    TEXT     NOT NULL REFERENCES clients (id),
    made_by      TEXT     NOT NULL REFERENCES people (id),
    made_at      TIMESTAMPTZ NOT NULL,
    expires_at   TIMESTAMPTZ NOT NULL,
    most_reports BIGINT  NOT NULL CHECK (most_reports BETWEEN 1 AND 100),
    revoked_at   TIMESTAMPTZ,
    revoked_by   TEXT     REFERENCES people (id),
    last_used_at TIMESTAMPTZ,
    CHECK ((revoked_at IS NULL) = (revoked_by IS NULL))
);
CREATE INDEX report_links_client_id ON report_links (client_id);

CREATE TABLE report_drafts (
    id           TEXT     NOT NULL PRIMARY KEY,
    link_id      TEXT     NOT NULL REFERENCES report_links (id),
    key_hash     TEXT     NOT NULL UNIQUE,
    address_hash TEXT     NOT NULL,
    fields       TEXT     NOT NULL,
    started_at   TIMESTAMPTZ NOT NULL,
    touched_at   TIMESTAMPTZ NOT NULL,
    sent_at      TIMESTAMPTZ,
    version      BIGINT  NOT NULL
);
CREATE INDEX report_drafts_link_id ON report_drafts (link_id);
CREATE INDEX report_drafts_address ON report_drafts (address_hash, started_at);

CREATE TABLE reports (
    id        TEXT     NOT NULL PRIMARY KEY,
    number    TEXT     NOT NULL UNIQUE CHECK (number <> ''),
    client_id TEXT     NOT NULL REFERENCES clients (id),
    limb_id   TEXT     REFERENCES limbs (id),
    link_id   TEXT     NOT NULL REFERENCES report_links (id),
    draft_id  TEXT     NOT NULL UNIQUE REFERENCES report_drafts (id),
    sent_at   TIMESTAMPTZ NOT NULL,
    said      TEXT     NOT NULL,
    seen_at   TIMESTAMPTZ,
    seen_by   TEXT     REFERENCES people (id),
    CHECK ((seen_at IS NULL) = (seen_by IS NULL))
);
CREATE INDEX reports_client_id ON reports (client_id, sent_at);
CREATE INDEX reports_link_id ON reports (link_id, sent_at);
CREATE INDEX reports_unseen ON reports (client_id) WHERE seen_at IS NULL;

CREATE TABLE reviews (
    id            TEXT     NOT NULL PRIMARY KEY,
    client_id     TEXT     NOT NULL REFERENCES clients (id),
    limb_id       TEXT     NOT NULL REFERENCES limbs (id),
    number        BIGINT  NOT NULL CHECK (number >= 1),
    signed_at     TIMESTAMPTZ NOT NULL,
    signed_by     TEXT     NOT NULL REFERENCES people (id),
    signer_name   TEXT     NOT NULL CHECK (signer_name <> ''),
    decisions     TEXT     NOT NULL,
    note          TEXT     NOT NULL,
    look_again_on TEXT     NOT NULL CHECK (look_again_on = '' OR look_again_on LIKE '____-__-__'),
    saw           TEXT     NOT NULL,
    content_hash  TEXT     NOT NULL CHECK (content_hash <> ''),
    UNIQUE (limb_id, number)
);
CREATE INDEX reviews_client_id ON reviews (client_id, signed_at);

CREATE TABLE handovers (
    id           TEXT     NOT NULL PRIMARY KEY,
    client_id    TEXT     NOT NULL REFERENCES clients (id),
    limb_id      TEXT     NOT NULL REFERENCES limbs (id),
    to_whom      TEXT     NOT NULL CHECK (to_whom <> ''),
    means        TEXT     NOT NULL CHECK (means IN ('phone', 'letter')),
    handed_on    TEXT     NOT NULL CHECK (handed_on LIKE '____-__-__'),
    ask_again_on TEXT     NOT NULL CHECK (ask_again_on = '' OR ask_again_on LIKE '____-__-__'),
    note         TEXT     NOT NULL,
    recorded_by  TEXT     NOT NULL REFERENCES people (id),
    recorded_at  TIMESTAMPTZ NOT NULL,
    answered_at  TIMESTAMPTZ,
    version      BIGINT  NOT NULL,
    CHECK (answered_at IS NOT NULL OR ask_again_on <> '')
);
CREATE INDEX handovers_client_id ON handovers (client_id);

CREATE TABLE handover_flags (
    handover_id TEXT NOT NULL REFERENCES handovers (id),
    flag_id     TEXT NOT NULL REFERENCES flags (id),
    PRIMARY KEY (handover_id, flag_id)
);
CREATE INDEX handover_flags_flag_id ON handover_flags (flag_id);

CREATE TABLE documents (
    sha256     TEXT     NOT NULL PRIMARY KEY,
    media_type TEXT     NOT NULL CHECK (media_type IN ('application/pdf', 'image/jpeg', 'image/png')),
    content    BYTEA     NOT NULL,
    created_at TIMESTAMPTZ NOT NULL
);

CREATE TABLE answers (
    id              TEXT     NOT NULL PRIMARY KEY,
    handover_id     TEXT     NOT NULL REFERENCES handovers (id),
    client_id       TEXT     NOT NULL REFERENCES clients (id),
    limb_id         TEXT     NOT NULL REFERENCES limbs (id),
    from_whom       TEXT     NOT NULL CHECK (from_whom <> ''),
    means           TEXT     NOT NULL CHECK (means IN ('phone', 'letter')),
    answered_on     TEXT     NOT NULL CHECK (answered_on LIKE '____-__-__'),
    said            TEXT     NOT NULL CHECK (said <> ''),
    document_sha256 TEXT     REFERENCES documents (sha256),
    document_name   TEXT     NOT NULL,
    recorded_by     TEXT     NOT NULL REFERENCES people (id),
    recorded_at     TIMESTAMPTZ NOT NULL
);
CREATE INDEX answers_handover_id ON answers (handover_id);
CREATE INDEX answers_client_id ON answers (client_id);

CREATE TABLE limb_limits (
    id                  TEXT     NOT NULL PRIMARY KEY,
    limb_id             TEXT     NOT NULL REFERENCES limbs (id),
    number              BIGINT  NOT NULL CHECK (number >= 1),
    loss_percent        DOUBLE PRECISION     NOT NULL CHECK (loss_percent > 0 AND loss_percent <= 100),
    loss_review_percent DOUBLE PRECISION     NOT NULL CHECK (loss_review_percent > 0 AND loss_review_percent <= 100),
    gain_percent        DOUBLE PRECISION     NOT NULL CHECK (gain_percent > 0 AND gain_percent <= 100),
    gain_today_percent  DOUBLE PRECISION     NOT NULL CHECK (gain_today_percent > 0 AND gain_today_percent <= 100),
    room_tenth_mm       BIGINT  CHECK (room_tenth_mm BETWEEN 1 AND 1000),
    reason              TEXT     NOT NULL CHECK (reason <> ''),
    set_by              TEXT     NOT NULL CHECK (set_by <> ''),
    set_on              TEXT     NOT NULL CHECK (set_on LIKE '____-__-__'),
    review_id           TEXT     REFERENCES reviews (id),
    answer_id           TEXT     REFERENCES answers (id),
    created_at          TIMESTAMPTZ NOT NULL,
    UNIQUE (limb_id, number),
    CHECK ((review_id IS NULL) <> (answer_id IS NULL)),
    CHECK (loss_percent <= loss_review_percent AND gain_percent <= gain_today_percent)
);

ALTER TABLE flags ADD COLUMN seen_at TIMESTAMPTZ;
ALTER TABLE flags ADD COLUMN handover_id TEXT REFERENCES handovers (id);
ALTER TABLE flags ADD COLUMN ask_again_on TEXT NOT NULL DEFAULT '';
ALTER TABLE flags ADD COLUMN closed_review_id TEXT REFERENCES reviews (id);
ALTER TABLE flags ADD COLUMN closed_answer_id TEXT REFERENCES answers (id);
CREATE INDEX flags_unseen_now ON flags (client_id) WHERE closed_at IS NULL AND level = 'now' AND seen_at IS NULL;

CREATE TABLE flag_steps (
    id                  TEXT     NOT NULL PRIMARY KEY,
    flag_id             TEXT     NOT NULL REFERENCES flags (id),
    kind                TEXT     NOT NULL CHECK (kind IN (
        'seen', 'called', 'acted', 'handed-over', 'asked-again', 'answered', 'reviewed')),
    made_at             TIMESTAMPTZ NOT NULL,
    made_by             TEXT     NOT NULL REFERENCES people (id),
    called_at           TIMESTAMPTZ,
    outcome             TEXT     NOT NULL CHECK (outcome IN ('', 'reached', 'message-left', 'no-answer')),
    cover_action        TEXT     NOT NULL CHECK (cover_action IN (
        '', 'trimmed', 'heat-formed', 'spacer', 'attachment-tightened', 'attachment-replaced', 'made-again', 'nothing')),
    gap_before_tenth_mm BIGINT  CHECK (gap_before_tenth_mm BETWEEN 0 AND 1000),
    gap_after_tenth_mm  BIGINT  CHECK (gap_after_tenth_mm BETWEEN 0 AND 1000),
    note                TEXT     NOT NULL,
    handover_id         TEXT     REFERENCES handovers (id),
    answer_id           TEXT     REFERENCES answers (id),
    review_id           TEXT     REFERENCES reviews (id),
    CHECK ((kind = 'called') = (outcome <> '')),
    CHECK ((kind = 'called') = (called_at IS NOT NULL)),
    CHECK ((kind = 'acted') = (cover_action <> '')),
    CHECK (cover_action <> 'nothing' OR note <> '')
);
CREATE INDEX flag_steps_flag_id ON flag_steps (flag_id);

CREATE TABLE flag_evidence_of_either (
    id           TEXT     NOT NULL PRIMARY KEY,
    flag_id      TEXT     NOT NULL REFERENCES flags (id),
    checkin_id   TEXT     REFERENCES checkins (id),
    report_id    TEXT     REFERENCES reports (id),
    rule_version BIGINT  NOT NULL,
    level        TEXT     NOT NULL CHECK (level IN ('now', 'soon', 'watch')),
    finding      TEXT     NOT NULL,
    added_at     TIMESTAMPTZ NOT NULL,
    CHECK ((checkin_id IS NULL) <> (report_id IS NULL))
);
INSERT INTO flag_evidence_of_either (id, flag_id, checkin_id, rule_version, level, finding, added_at)
SELECT id, flag_id, checkin_id, rule_version, level, finding, added_at FROM flag_evidence;
DROP TABLE flag_evidence;
ALTER TABLE flag_evidence_of_either RENAME TO flag_evidence;
CREATE INDEX flag_evidence_flag_id ON flag_evidence (flag_id);
CREATE INDEX flag_evidence_checkin_id ON flag_evidence (checkin_id);
CREATE INDEX flag_evidence_report_id ON flag_evidence (report_id);
