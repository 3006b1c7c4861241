-- +goose Up
CREATE TABLE studies (
    id              TEXT    NOT NULL PRIMARY KEY,
    kind            TEXT    NOT NULL CHECK (kind IN ('fitters', 'scan')),
    name            TEXT    NOT NULL CHECK (name <> ''),
    held_on         TEXT    NOT NULL CHECK (held_on LIKE '____-__-__'),
    levels_tenth_mm TEXT    NOT NULL,
    passes          INTEGER NOT NULL CHECK (passes BETWEEN 1 AND 9),
    rounds          INTEGER NOT NULL CHECK (rounds BETWEEN 1 AND 99),
    measurers       TEXT    NOT NULL,
    subjects        TEXT    NOT NULL,
    note            TEXT    NOT NULL,
    made_by         TEXT    NOT NULL CHECK (made_by <> ''),
    created_at      DATETIME NOT NULL,
    version         INTEGER NOT NULL
);
CREATE INDEX studies_held_on ON studies (held_on, id);

CREATE TABLE study_sheets (
    id         TEXT     NOT NULL PRIMARY KEY,
    study_id   TEXT     NOT NULL REFERENCES studies (id),
    subject    TEXT     NOT NULL CHECK (subject <> ''),
    measurer   TEXT     NOT NULL,
    round      INTEGER  NOT NULL CHECK (round BETWEEN 1 AND 99),
    marks      TEXT     NOT NULL,
    entered_by TEXT     NOT NULL,
    saved_at   DATETIME,
    version    INTEGER  NOT NULL,
    UNIQUE (study_id, subject, measurer, round)
);

CREATE TABLE study_readings (
    id             TEXT    NOT NULL PRIMARY KEY,
    sheet_id       TEXT    NOT NULL REFERENCES study_sheets (id),
    level_tenth_mm INTEGER NOT NULL CHECK (level_tenth_mm BETWEEN -20000 AND 20000),
    pass           INTEGER NOT NULL CHECK (pass BETWEEN 1 AND 9),
    girth_tenth_mm INTEGER NOT NULL CHECK (girth_tenth_mm BETWEEN 200 AND 20000),
    UNIQUE (sheet_id, level_tenth_mm, pass)
);

CREATE TABLE study_volumes (
    id        TEXT    NOT NULL PRIMARY KEY,
    study_id  TEXT    NOT NULL REFERENCES studies (id),
    subject   TEXT    NOT NULL CHECK (subject <> ''),
    method    TEXT    NOT NULL CHECK (method <> ''),
    trial     INTEGER NOT NULL CHECK (trial BETWEEN 1 AND 99),
    volume_ml REAL    NOT NULL CHECK (volume_ml > 0 AND volume_ml <= 100000),
    UNIQUE (study_id, subject, method, trial)
);

CREATE TABLE study_uses (
    id               TEXT     NOT NULL PRIMARY KEY,
    study_id         TEXT     NOT NULL REFERENCES studies (id),
    number           INTEGER  NOT NULL UNIQUE CHECK (number >= 1),
    taken_at         DATETIME NOT NULL,
    taken_by         TEXT     NOT NULL CHECK (taken_by <> ''),
    note             TEXT     NOT NULL CHECK (note <> ''),
    reading_mm       REAL     NOT NULL CHECK (reading_mm BETWEEN 0 AND 100),
    level_mm         REAL     NOT NULL CHECK (level_mm BETWEEN 0 AND 100),
    landmark_mm      REAL     NOT NULL CHECK (landmark_mm BETWEEN 0 AND 100),
    bias_same        REAL     NOT NULL CHECK (bias_same BETWEEN 0 AND 0.5),
    bias_between     REAL     NOT NULL CHECK (bias_between BETWEEN 0 AND 0.5),
    source_percent   REAL     NOT NULL CHECK (source_percent BETWEEN 0 AND 200),
    held_on          TEXT     NOT NULL CHECK (held_on LIKE '____-__-__'),
    limbs            INTEGER  NOT NULL CHECK (limbs >= 1),
    fitters          INTEGER  NOT NULL CHECK (fitters >= 1),
    withdrawn_at     DATETIME,
    withdrawn_by     TEXT     NOT NULL,
    withdrawn_reason TEXT     NOT NULL,
    CHECK ((withdrawn_at IS NULL) = (withdrawn_reason = ''))
);
CREATE INDEX study_uses_study_id ON study_uses (study_id);
