-- +goose Up
CREATE TABLE people (
    id             TEXT     NOT NULL PRIMARY KEY,
    name           TEXT     NOT NULL CHECK (name <> ''),
    sign_in        TEXT     NOT NULL UNIQUE CHECK (sign_in <> ''),
    password_hash  TEXT     NOT NULL,
    is_fitter      BOOLEAN  NOT NULL,
    is_prosthetist BOOLEAN  NOT NULL,
    is_owner       BOOLEAN  NOT NULL,
    length_unit    TEXT     NOT NULL CHECK (length_unit IN ('mm', 'cm', 'in')),
    decimal_comma  BOOLEAN  NOT NULL,
    disabled_at    DATETIME,
    session_epoch  INTEGER  NOT NULL,
    created_at     DATETIME NOT NULL,
    version        INTEGER  NOT NULL
);

CREATE TABLE workshops (
    id       TEXT    NOT NULL PRIMARY KEY CHECK (id = 'workshop'),
    name     TEXT    NOT NULL CHECK (name <> ''),
    zone     TEXT    NOT NULL CHECK (zone <> ''),
    invented BOOLEAN NOT NULL,
    version  INTEGER NOT NULL
);

CREATE TABLE one_time_links (
    token_hash TEXT     NOT NULL PRIMARY KEY,
    person_id  TEXT     NOT NULL REFERENCES people (id),
    expires_at DATETIME NOT NULL,
    used_at    DATETIME
);

CREATE TABLE sessions (
    token      TEXT     NOT NULL PRIMARY KEY,
    data       BLOB     NOT NULL,
    expires_at DATETIME NOT NULL
);
CREATE INDEX sessions_expires_at ON sessions (expires_at);

CREATE TABLE sign_in_attempts (
    id          TEXT     NOT NULL PRIMARY KEY,
    attempt_key TEXT     NOT NULL,
    failed_at   DATETIME NOT NULL
);
CREATE INDEX sign_in_attempts_key ON sign_in_attempts (attempt_key, failed_at);
CREATE INDEX sign_in_attempts_failed_at ON sign_in_attempts (failed_at);

CREATE TABLE clients (
    id                 TEXT     NOT NULL PRIMARY KEY,
    code               TEXT     NOT NULL UNIQUE CHECK (code <> ''),
    name               TEXT     NOT NULL CHECK (name <> ''),
    name_key           TEXT     NOT NULL,
    phone              TEXT     NOT NULL,
    language           TEXT     NOT NULL,
    guardian           TEXT     NOT NULL,
    still_growing      BOOLEAN  NOT NULL,
    reduced_feeling    BOOLEAN  NOT NULL,
    conditions         TEXT     NOT NULL,
    consent_record     BOOLEAN  NOT NULL,
    consent_contact    BOOLEAN  NOT NULL,
    deputy_id          TEXT     REFERENCES people (id),
    clinic_phone       TEXT     NOT NULL,
    out_of_hours_phone TEXT     NOT NULL,
    emergency_phone    TEXT     NOT NULL,
    next_checkin_on    TEXT     NOT NULL CHECK (next_checkin_on = '' OR next_checkin_on LIKE '____-__-__'),
    archived_at        DATETIME,
    archived_why       TEXT     NOT NULL,
    created_at         DATETIME NOT NULL,
    version            INTEGER  NOT NULL
);
CREATE INDEX clients_name_key ON clients (name_key, id);

CREATE TABLE contacts (
    id        TEXT NOT NULL PRIMARY KEY,
    client_id TEXT NOT NULL REFERENCES clients (id),
    name      TEXT NOT NULL,
    relation  TEXT NOT NULL,
    phone     TEXT NOT NULL
);
CREATE INDEX contacts_client_id ON contacts (client_id);

CREATE TABLE care_team (
    client_id TEXT NOT NULL REFERENCES clients (id),
    person_id TEXT NOT NULL REFERENCES people (id),
    PRIMARY KEY (client_id, person_id)
);
CREATE INDEX care_team_person_id ON care_team (person_id, client_id);

CREATE TABLE limbs (
    id                  TEXT     NOT NULL PRIMARY KEY,
    client_id           TEXT     NOT NULL REFERENCES clients (id),
    side                TEXT     NOT NULL CHECK (side IN ('left', 'right')),
    level               TEXT     NOT NULL CHECK (level IN (
        'partial-foot', 'ankle-disarticulation', 'transtibial', 'knee-disarticulation', 'transfemoral',
        'hip-disarticulation', 'transpelvic', 'partial-hand', 'wrist-disarticulation', 'transradial',
        'elbow-disarticulation', 'transhumeral', 'shoulder-disarticulation', 'forequarter')),
    origin              TEXT     NOT NULL CHECK (origin IN ('amputation', 'present-at-birth')),
    amputated_on        TEXT     NOT NULL CHECK (amputated_on = '' OR amputated_on LIKE '____-__-__'),
    revised_on          TEXT     NOT NULL CHECK (revised_on = '' OR revised_on LIKE '____-__-__'),
    landmark            TEXT     NOT NULL,
    landmark_posture    TEXT     NOT NULL,
    length_tenth_mm     INTEGER  CHECK (length_tenth_mm BETWEEN 0 AND 20000),
    inflection_tenth_mm INTEGER  CHECK (inflection_tenth_mm BETWEEN -20000 AND 20000),
    distal_shape        TEXT     NOT NULL CHECK (distal_shape IN ('', 'conical', 'cylindrical', 'bulbous')),
    other_side_sound    BOOLEAN  NOT NULL,
    created_at          DATETIME NOT NULL,
    version             INTEGER  NOT NULL
);
CREATE INDEX limbs_client_id ON limbs (client_id);

CREATE TABLE measuring_plans (
    id                 TEXT     NOT NULL PRIMARY KEY,
    limb_id            TEXT     NOT NULL REFERENCES limbs (id),
    number             INTEGER  NOT NULL CHECK (number >= 1),
    landmark           TEXT     NOT NULL,
    levels_tenth_mm    TEXT     NOT NULL,
    passes             INTEGER  NOT NULL CHECK (passes BETWEEN 1 AND 9),
    cap_kind           TEXT     NOT NULL CHECK (cap_kind IN ('none', 'semi-ellipsoid', 'paraboloid', 'cone')),
    cap_depth_tenth_mm INTEGER  CHECK (cap_depth_tenth_mm BETWEEN 0 AND 20000),
    reason             TEXT     NOT NULL,
    made_by            TEXT     NOT NULL,
    created_at         DATETIME NOT NULL,
    UNIQUE (limb_id, number)
);

CREATE TABLE prostheses (
    id                       TEXT    NOT NULL PRIMARY KEY,
    limb_id                  TEXT    NOT NULL UNIQUE REFERENCES limbs (id),
    no_socket                BOOLEAN NOT NULL,
    socket_type              TEXT    NOT NULL,
    socket_fitted_on         TEXT    NOT NULL CHECK (socket_fitted_on = '' OR socket_fitted_on LIKE '____-__-__'),
    socket_accepted_on       TEXT    NOT NULL CHECK (socket_accepted_on = '' OR socket_accepted_on LIKE '____-__-__'),
    suspension               TEXT    NOT NULL,
    adjuster                 TEXT    NOT NULL,
    liner_type               TEXT    NOT NULL,
    liner_thickness_tenth_mm INTEGER CHECK (liner_thickness_tenth_mm BETWEEN 0 AND 1000),
    sleeve                   TEXT    NOT NULL,
    foot                     TEXT    NOT NULL,
    knee                     TEXT    NOT NULL,
    pylon                    TEXT    NOT NULL,
    shoe                     TEXT    NOT NULL,
    heel_height_tenth_mm     INTEGER CHECK (heel_height_tenth_mm BETWEEN 0 AND 5000),
    version                  INTEGER NOT NULL
);

CREATE TABLE events (
    id          TEXT     NOT NULL PRIMARY KEY,
    limb_id     TEXT     NOT NULL REFERENCES limbs (id),
    kind        TEXT     NOT NULL CHECK (kind IN (
        'socket-fitted', 'socket-accepted', 'socket-adjusted', 'realignment', 'part-replaced', 'repair',
        'shoe-changed', 'adjuster-moved', 'liner-changed', 'cover-trimmed', 'cover-refitted', 'revision',
        'illness', 'other')),
    happened_on TEXT     NOT NULL CHECK (happened_on LIKE '____-__-__'),
    what        TEXT     NOT NULL,
    done_by     TEXT     NOT NULL,
    told_by     TEXT     NOT NULL,
    recorded_by TEXT     NOT NULL,
    created_at  DATETIME NOT NULL
);
CREATE INDEX events_limb_id ON events (limb_id, happened_on);

CREATE TABLE covers (
    id            TEXT     NOT NULL PRIMARY KEY,
    limb_id       TEXT     NOT NULL REFERENCES limbs (id),
    material      TEXT     NOT NULL,
    wall_tenth_mm INTEGER  CHECK (wall_tenth_mm BETWEEN 0 AND 1000),
    delivered_on  TEXT     NOT NULL CHECK (delivered_on = '' OR delivered_on LIKE '____-__-__'),
    state         TEXT     NOT NULL CHECK (state IN ('in-use', 'off', 'in-workshop')),
    retired_on    TEXT     NOT NULL CHECK (retired_on = '' OR retired_on LIKE '____-__-__'),
    created_at    DATETIME NOT NULL,
    version       INTEGER  NOT NULL
);
CREATE INDEX covers_limb_id ON covers (limb_id);

CREATE TABLE attachments (
    id       TEXT    NOT NULL PRIMARY KEY,
    cover_id TEXT    NOT NULL REFERENCES covers (id),
    name     TEXT    NOT NULL CHECK (name <> ''),
    state    TEXT    NOT NULL CHECK (state IN ('ok', 'loose', 'missing')),
    ordinal  INTEGER NOT NULL
);
CREATE INDEX attachments_cover_id ON attachments (cover_id);

CREATE TABLE stations (
    id                  TEXT    NOT NULL PRIMARY KEY,
    cover_id            TEXT    NOT NULL REFERENCES covers (id),
    level_tenth_mm      INTEGER NOT NULL CHECK (level_tenth_mm BETWEEN -20000 AND 20000),
    direction           TEXT    NOT NULL CHECK (direction IN ('anterior', 'lateral', 'posterior', 'medial')),
    posture             TEXT    NOT NULL CHECK (posture IN (
        'standing', 'seated', 'kneeling', 'full-extension', 'full-flexion', 'heel-loaded', 'toe-loaded', 'straight',
        'full-bend', 'forearm-turned', 'resting')),
    neighbour           TEXT    NOT NULL CHECK (neighbour IN (
        'socket-wall', 'fixed-part', 'moving-joint', 'foot-or-keel', 'skin')),
    every_time          BOOLEAN NOT NULL,
    warn_limit_tenth_mm INTEGER CHECK (warn_limit_tenth_mm BETWEEN 0 AND 1000),
    act_limit_tenth_mm  INTEGER CHECK (act_limit_tenth_mm BETWEEN 0 AND 1000),
    limit_by            TEXT    NOT NULL,
    limit_on            TEXT    NOT NULL CHECK (limit_on = '' OR limit_on LIKE '____-__-__'),
    as_built_tenth_mm   INTEGER CHECK (as_built_tenth_mm BETWEEN 0 AND 1000),
    as_built_by         TEXT    NOT NULL,
    as_built_on         TEXT    NOT NULL CHECK (as_built_on = '' OR as_built_on LIKE '____-__-__'),
    ordinal             INTEGER NOT NULL,
    UNIQUE (cover_id, level_tenth_mm, direction, posture)
);

CREATE TABLE checkins (
    id              TEXT     NOT NULL PRIMARY KEY,
    client_id       TEXT     NOT NULL REFERENCES clients (id),
    kind            TEXT     NOT NULL CHECK (kind IN ('delivery', 'follow-up', 'after-change')),
    measured_at     DATETIME NOT NULL,
    zone            TEXT     NOT NULL CHECK (zone <> ''),
    measured_by     TEXT     NOT NULL REFERENCES people (id),
    entered_at      DATETIME NOT NULL,
    entered_by      TEXT     NOT NULL REFERENCES people (id),
    room            TEXT     NOT NULL CHECK (room IN ('', 'cold', 'usual', 'hot')),
    activity        TEXT     NOT NULL CHECK (activity IN ('', 'rest', 'usual', 'heavy')),
    hours_worn      REAL     CHECK (hours_worn BETWEEN 0 AND 168),
    weight_g        INTEGER  CHECK (weight_g BETWEEN 1000 AND 500000),
    weight_with     TEXT     NOT NULL,
    fluid           TEXT,
    dialysis_hours  REAL     CHECK (dialysis_hours BETWEEN 0 AND 2000),
    comfort_average INTEGER  CHECK (comfort_average BETWEEN 0 AND 10),
    comfort_worst   INTEGER  CHECK (comfort_worst BETWEEN 0 AND 10),
    pain_worst      INTEGER  CHECK (pain_worst BETWEEN 0 AND 10),
    looseness       INTEGER  CHECK (looseness BETWEEN -5 AND 5),
    hours_per_day   REAL     CHECK (hours_per_day BETWEEN 0 AND 24),
    talk            TEXT     NOT NULL,
    notes           TEXT     NOT NULL,
    next_on         TEXT     NOT NULL CHECK (next_on = '' OR next_on LIKE '____-__-__'),
    number          INTEGER  NOT NULL CHECK (number >= 1),
    replaces_id     TEXT     UNIQUE REFERENCES checkins (id),
    reason          TEXT     NOT NULL,
    superseded_at   DATETIME,
    draft_id        TEXT     NOT NULL,
    CHECK ((replaces_id IS NULL) = (number = 1)),
    CHECK (replaces_id IS NULL OR reason <> '')
);
CREATE INDEX checkins_client_id ON checkins (client_id, measured_at);
CREATE UNIQUE INDEX checkins_draft_id ON checkins (draft_id) WHERE draft_id <> '';

CREATE TABLE checkin_limbs (
    id                       TEXT    NOT NULL PRIMARY KEY,
    checkin_id               TEXT    NOT NULL REFERENCES checkins (id),
    limb_id                  TEXT    NOT NULL REFERENCES limbs (id),
    plan_id                  TEXT    REFERENCES measuring_plans (id),
    cover_id                 TEXT    REFERENCES covers (id),
    prosthesis_id            TEXT    REFERENCES prostheses (id),
    doffed_at                DATETIME,
    first_reading_at         DATETIME,
    minutes_off              REAL    CHECK (minutes_off BETWEEN 0 AND 2880),
    posture                  TEXT    NOT NULL,
    length_tenth_mm          INTEGER CHECK (length_tenth_mm BETWEEN 0 AND 20000),
    shoe                     TEXT    NOT NULL,
    liner_type               TEXT    NOT NULL,
    liner_thickness_tenth_mm INTEGER CHECK (liner_thickness_tenth_mm BETWEEN 0 AND 1000),
    socks                    TEXT,
    residual_not_done        TEXT    NOT NULL CHECK (residual_not_done IN ('', 'time', 'pain', 'declined', 'skin', 'not-applicable')),
    sound_not_done           TEXT    NOT NULL CHECK (sound_not_done IN ('', 'time', 'pain', 'declined', 'skin', 'not-applicable')),
    clearance_not_done       TEXT    NOT NULL CHECK (clearance_not_done IN ('', 'time', 'pain', 'declined', 'skin', 'not-applicable')),
    function_not_done        TEXT    NOT NULL CHECK (function_not_done IN ('', 'time', 'pain', 'declined', 'skin', 'not-applicable')),
    skin_not_done            TEXT    NOT NULL CHECK (skin_not_done IN ('', 'time', 'pain', 'declined', 'skin', 'not-applicable')),
    socks_not_done           TEXT    NOT NULL CHECK (socks_not_done IN ('', 'time', 'pain', 'declined', 'skin', 'not-applicable')),
    UNIQUE (checkin_id, limb_id)
);
CREATE INDEX checkin_limbs_limb_id ON checkin_limbs (limb_id);

CREATE TABLE readings (
    id              TEXT    NOT NULL PRIMARY KEY,
    checkin_limb_id TEXT    NOT NULL REFERENCES checkin_limbs (id),
    part            TEXT    NOT NULL CHECK (part IN ('residual', 'sound')),
    level_tenth_mm  INTEGER NOT NULL CHECK (level_tenth_mm BETWEEN -20000 AND 20000),
    pass            INTEGER NOT NULL CHECK (pass BETWEEN 1 AND 9),
    girth_tenth_mm  INTEGER NOT NULL CHECK (girth_tenth_mm BETWEEN 200 AND 20000),
    UNIQUE (checkin_limb_id, part, level_tenth_mm, pass)
);

CREATE TABLE clearance_readings (
    id              TEXT    NOT NULL PRIMARY KEY,
    checkin_limb_id TEXT    NOT NULL REFERENCES checkin_limbs (id),
    station_id      TEXT    NOT NULL REFERENCES stations (id),
    posture         TEXT    NOT NULL CHECK (posture IN (
        'standing', 'seated', 'kneeling', 'full-extension', 'full-flexion', 'heel-loaded', 'toe-loaded', 'straight',
        'full-bend', 'forearm-turned', 'resting')),
    method          TEXT    NOT NULL CHECK (method IN ('feeler', 'putty', 'witness-mark', 'not-reachable')),
    gap_tenth_mm    INTEGER CHECK (gap_tenth_mm BETWEEN 0 AND 1000),
    touch           TEXT    NOT NULL CHECK (touch IN ('', 'contact', 'no-contact', 'polish-mark')),
    shoe            TEXT    NOT NULL,
    CHECK (gap_tenth_mm IS NOT NULL OR touch <> '' OR method = 'not-reachable')
);
CREATE INDEX clearance_readings_checkin_limb_id ON clearance_readings (checkin_limb_id);
CREATE INDEX clearance_readings_station_id ON clearance_readings (station_id);

CREATE TABLE function_checks (
    id              TEXT NOT NULL PRIMARY KEY,
    checkin_limb_id TEXT NOT NULL REFERENCES checkin_limbs (id),
    check_name      TEXT NOT NULL CHECK (check_name IN (
        'release-free', 'openings-reachable', 'full-extension', 'swing-free', 'foot-free', 'attachments-firm',
        'no-crack')),
    answer          TEXT NOT NULL CHECK (answer IN ('yes', 'no', 'not-checked')),
    note            TEXT NOT NULL,
    UNIQUE (checkin_limb_id, check_name)
);

CREATE TABLE skin_findings (
    id              TEXT NOT NULL PRIMARY KEY,
    checkin_limb_id TEXT NOT NULL REFERENCES checkin_limbs (id),
    moment          TEXT NOT NULL CHECK (moment IN ('on-doffing', 'after-tape')),
    place           TEXT NOT NULL,
    sign            TEXT NOT NULL CHECK (sign IN (
        'redness-fades', 'redness-stays', 'rub-mark', 'blister', 'callus', 'lump', 'rash', 'open-sore', 'warty-end',
        'colour-change', 'swelling', 'discharge', 'other')),
    note            TEXT NOT NULL
);
CREATE INDEX skin_findings_checkin_limb_id ON skin_findings (checkin_limb_id);

CREATE TABLE attachments_seen (
    id              TEXT NOT NULL PRIMARY KEY,
    checkin_limb_id TEXT NOT NULL REFERENCES checkin_limbs (id),
    attachment_id   TEXT NOT NULL REFERENCES attachments (id),
    state           TEXT NOT NULL CHECK (state IN ('ok', 'loose', 'missing')),
    UNIQUE (checkin_limb_id, attachment_id)
);
CREATE INDEX attachments_seen_attachment_id ON attachments_seen (attachment_id);

CREATE TABLE drafts (
    id          TEXT     NOT NULL PRIMARY KEY,
    client_id   TEXT     NOT NULL REFERENCES clients (id),
    person_id   TEXT     NOT NULL REFERENCES people (id),
    corrects_id TEXT     REFERENCES checkins (id),
    fields      TEXT     NOT NULL,
    created_at  DATETIME NOT NULL,
    updated_at  DATETIME NOT NULL,
    checkin_id  TEXT     REFERENCES checkins (id),
    version     INTEGER  NOT NULL
);
CREATE INDEX drafts_client_id ON drafts (client_id);
CREATE INDEX drafts_person_id ON drafts (person_id);

CREATE TABLE flags (
    id           TEXT     NOT NULL PRIMARY KEY,
    client_id    TEXT     NOT NULL REFERENCES clients (id),
    limb_id      TEXT     NOT NULL REFERENCES limbs (id),
    rule         TEXT     NOT NULL CHECK (rule <> ''),
    place        TEXT     NOT NULL,
    about        TEXT     NOT NULL CHECK (about IN ('cover', 'limb', 'skin', 'data')),
    level        TEXT     NOT NULL CHECK (level IN ('now', 'soon', 'watch')),
    opened_at    DATETIME NOT NULL,
    closed_at    DATETIME,
    closed_by    TEXT     NOT NULL,
    close_reason TEXT     NOT NULL,
    version      INTEGER  NOT NULL,
    CHECK ((closed_at IS NULL) = (closed_by = '')),
    CHECK (closed_at IS NULL OR close_reason <> '')
);
CREATE UNIQUE INDEX flags_one_open ON flags (limb_id, rule, place) WHERE closed_at IS NULL;
CREATE INDEX flags_client_id ON flags (client_id);
CREATE INDEX flags_open ON flags (client_id, level) WHERE closed_at IS NULL;

CREATE TABLE flag_evidence (
    id           TEXT     NOT NULL PRIMARY KEY,
    flag_id      TEXT     NOT NULL REFERENCES flags (id),
    checkin_id   TEXT     NOT NULL REFERENCES checkins (id),
    rule_version INTEGER  NOT NULL,
    level        TEXT     NOT NULL CHECK (level IN ('now', 'soon', 'watch')),
    finding      TEXT     NOT NULL,
    added_at     DATETIME NOT NULL
);
CREATE INDEX flag_evidence_flag_id ON flag_evidence (flag_id);
CREATE INDEX flag_evidence_checkin_id ON flag_evidence (checkin_id);
