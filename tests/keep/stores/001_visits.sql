PRAGMA application_id = 1450396270;
CREATE TABLE "_sqlite_migrations" (
   "id" INTEGER PRIMARY KEY,
   "migration_set" TEXT,
   "name" TEXT,
   "applied_at" TEXT
);
INSERT INTO "_sqlite_migrations" ("id", "migration_set", "name", "applied_at") VALUES (1, 'journal', '001_visits', '2026-11-25 09:59:41.571002+00:00');
CREATE TABLE about (
    name TEXT PRIMARY KEY,
    value TEXT NOT NULL
) WITHOUT ROWID;
INSERT INTO "about" ("name", "value") VALUES ('id', '01a21225-910a-7bf3-9e65-01804cb9c5e4');
CREATE TABLE ledger (
    seq INTEGER PRIMARY KEY,
    at TEXT NOT NULL,
    visit INTEGER,
    action TEXT NOT NULL,
    "by" TEXT NOT NULL,
    why TEXT NOT NULL,
    counts TEXT NOT NULL,
    "rows" BLOB NOT NULL,
    previous BLOB NOT NULL,
    hash BLOB NOT NULL
);
INSERT INTO "ledger" ("seq", "at", "visit", "action", "by", "why", "counts", "rows", "previous", "hash") VALUES (1, '2026-11-25T09:59:41.578Z', NULL, 'store made', 'journal', '01a21225-910a-7bf3-9e65-01804cb9c5e4', '{}', X'E3B0C44298FC1C149AFBF4C8996FB92427AE41E4649B934CA495991B7852B855', X'29F551AA1D9CF03E498C3412A971761B076CBAD46C36A4766407A90ABB08FD08', X'7FA21AC44169A95885FC739E0934880B9FE6B822AE793A53D45FE6413BF0E9BC');
INSERT INTO "ledger" ("seq", "at", "visit", "action", "by", "why", "counts", "rows", "previous", "hash") VALUES (2, '2026-11-25T09:59:41.612Z', 1, 'visit added', 'Ola Brandt', '', '{"assessments":1,"diagnoses":1,"equipment":1,"fields":1,"findings":1,"notes":1,"readings":2,"recordings":1,"utterances":2,"verdicts":1,"visits":1,"work":1}', X'CFA5A58810CFB2A8582487AD85AB5113C591C48A445470BA4BF80F1915723D1E', X'7FA21AC44169A95885FC739E0934880B9FE6B822AE793A53D45FE6413BF0E9BC', X'1B8DA06117D5AD88DBF47DAF76B61DAAF9FC6CC26BBD8926DAE1E24AB2303407');
INSERT INTO "ledger" ("seq", "at", "visit", "action", "by", "why", "counts", "rows", "previous", "hash") VALUES (3, '2026-11-25T09:59:41.623Z', 2, 'visit added', 'Ola Brandt', '', '{"assessments":1,"diagnoses":1,"equipment":1,"fields":1,"findings":1,"notes":1,"readings":2,"utterances":2,"verdicts":1,"visits":1,"work":1}', X'96E7887194EF6EF23A29CB1DD11FEDB4E2C05834327BC8CA89CA8769B67D60BC', X'1B8DA06117D5AD88DBF47DAF76B61DAAF9FC6CC26BBD8926DAE1E24AB2303407', X'5CEEF8F9651E1CE8514415918AEAB3BA15C759D97F59B3D454B671E98B8581A0');
CREATE TABLE visits (
    visit INTEGER PRIMARY KEY,
    id TEXT NOT NULL UNIQUE,
    code TEXT NOT NULL UNIQUE,
    started TEXT,
    started_from TEXT NOT NULL,
    made TEXT NOT NULL,
    title TEXT NOT NULL,
    technician TEXT,
    site TEXT,
    status TEXT NOT NULL,
    more TEXT NOT NULL,
    event INTEGER NOT NULL,
    salt BLOB NOT NULL,
    seal BLOB NOT NULL,
    blanked INTEGER
);
INSERT INTO "visits" ("visit", "id", "code", "started", "started_from", "made", "title", "technician", "site", "status", "more", "event", "salt", "seal", "blanked") VALUES (1, '0192f0c4-7c1e-7b7a-9a53-2f6d6a6f1c11', 'XXX994', '2026-03-02T09:15:00Z', 'given', '2026-11-25T09:59:41.595Z', 'Reach-in warm', 'Ola Brandt', 'Corner Larder', 'complete', '{}', 2, X'3959CE539A08664B8932FAF5BAAFBFE0', X'793AD55A15434FE100CF51FD1D912CA03A9408B6F2CAB76E8F99D0DC6FEAF77A', NULL);
INSERT INTO "visits" ("visit", "id", "code", "started", "started_from", "made", "title", "technician", "site", "status", "more", "event", "salt", "seal", "blanked") VALUES (2, '0192f0c4-7c1e-7b7a-9a53-2f6d6a6f1c22', 'Y742K9', '2026-03-09T10:00:00Z', 'given', '2026-11-25T09:59:41.623Z', 'It''s a typed visit', 'Ola Brandt', 'Corner Larder', 'complete', '{}', 3, X'443366D812151D39CBF4181DC415CBB4', X'A2844DDEBD3390A6EEF00AE5685CF7426049C9880D9233EC9694B628E6FD312C', NULL);
CREATE TABLE recordings (
    visit INTEGER NOT NULL REFERENCES visits(visit),
    n INTEGER NOT NULL,
    name TEXT NOT NULL,
    file TEXT NOT NULL,
    original_name TEXT NOT NULL,
    sha256 TEXT NOT NULL,
    seconds REAL NOT NULL,
    started TEXT,
    more TEXT NOT NULL,
    event INTEGER NOT NULL,
    salt BLOB NOT NULL,
    seal BLOB NOT NULL,
    blanked INTEGER,
    PRIMARY KEY (visit, n)
) WITHOUT ROWID;
INSERT INTO "recordings" ("visit", "n", "name", "file", "original_name", "sha256", "seconds", "started", "more", "event", "salt", "seal", "blanked") VALUES (1, 0, 'r1', 'recordings/0192f0c4-7c1e-7b7a-9a53-2f6d6a6f1c11/r1.wav', 'larder.wav', '5d6e572863049b400a41a041852b0a3b774a6ccfda58f8b4666259a555e485c4', 61.5, NULL, '{"channels":1,"model":"trade-english","rate":16000}', 2, X'740ABAA841848F7291E69E35F248E82D', X'890FD644EF05521AE4C6B5A621A233077B4ED83611DEF65CA28272E1FC767D02', NULL);
CREATE TABLE utterances (
    visit INTEGER NOT NULL REFERENCES visits(visit),
    n INTEGER NOT NULL,
    recording TEXT NOT NULL,
    position INTEGER NOT NULL,
    heard_by TEXT NOT NULL,
    more TEXT NOT NULL,
    event INTEGER NOT NULL,
    salt BLOB NOT NULL,
    seal BLOB NOT NULL,
    blanked INTEGER,
    PRIMARY KEY (visit, n)
) WITHOUT ROWID;
INSERT INTO "utterances" ("visit", "n", "recording", "position", "heard_by", "more", "event", "salt", "seal", "blanked") VALUES (1, 0, 'r1', 0, 'vosk', '{"alternatives":[{"score":-12.5,"words":[{"confidence":0.9,"end":0.4,"text":"compressor"},{"confidence":0.9,"end":0.9,"start":0.5,"text":"common"},{"confidence":0.9,"end":1.4,"start":1.0,"text":"to"},{"confidence":0.9,"end":1.9,"start":1.5,"text":"run"},{"confidence":0.9,"end":2.4,"start":2.0,"text":"twenty"},{"confidence":0.9,"end":2.9,"start":2.5,"text":"four"},{"confidence":0.9,"end":3.4,"start":3.0,"text":"point"},{"confidence":0.9,"end":3.9,"start":3.5,"text":"three"},{"confidence":0.9,"end":4.4,"start":4.0,"text":"oh"}]}]}', 2, X'194C8FC79AD753C6A6259A21B8E8D345', X'769089004D1B22723BBD9842F9D29813776BDAD7A346ABE02B60CDBD5B2C51B2', NULL);
INSERT INTO "utterances" ("visit", "n", "recording", "position", "heard_by", "more", "event", "salt", "seal", "blanked") VALUES (1, 1, 'r1', 1, 'vosk', '{"alternatives":[{"score":-12.5,"words":[{"confidence":0.9,"end":10.4,"start":10.0,"text":"coil"},{"confidence":0.9,"end":10.9,"start":10.5,"text":"is"},{"confidence":0.9,"end":11.4,"start":11.0,"text":"iced"},{"confidence":0.9,"end":11.9,"start":11.5,"text":"over"},{"confidence":0.9,"end":12.4,"start":12.0,"text":"and"},{"confidence":0.9,"end":12.9,"start":12.5,"text":"the"},{"confidence":0.9,"end":13.4,"start":13.0,"text":"fan"},{"confidence":0.9,"end":13.9,"start":13.5,"text":"is"},{"confidence":0.9,"end":14.4,"start":14.0,"text":"not"}]}]}', 2, X'E61F4553C0084C8B909CE45F17F76379', X'2C8A9618AA312ED08D74B78F0564BB76B8C861297305A4293635695AB9C665B8', NULL);
INSERT INTO "utterances" ("visit", "n", "recording", "position", "heard_by", "more", "event", "salt", "seal", "blanked") VALUES (2, 0, 'r1', 0, 'vosk', '{"alternatives":[{"score":-12.5,"words":[{"confidence":0.9,"end":0.4,"text":"compressor"},{"confidence":0.9,"end":0.9,"start":0.5,"text":"common"},{"confidence":0.9,"end":1.4,"start":1.0,"text":"to"},{"confidence":0.9,"end":1.9,"start":1.5,"text":"run"},{"confidence":0.9,"end":2.4,"start":2.0,"text":"twenty"},{"confidence":0.9,"end":2.9,"start":2.5,"text":"four"},{"confidence":0.9,"end":3.4,"start":3.0,"text":"point"},{"confidence":0.9,"end":3.9,"start":3.5,"text":"three"},{"confidence":0.9,"end":4.4,"start":4.0,"text":"oh"}]}]}', 3, X'D6C772D875CDBB65F4C681F38BA58985', X'4DCCCBAE15D21DD8F6189AAA0B7ED24E528395E719EE11F50206E4E4EFC8E40F', NULL);
INSERT INTO "utterances" ("visit", "n", "recording", "position", "heard_by", "more", "event", "salt", "seal", "blanked") VALUES (2, 1, 'r1', 1, 'vosk', '{"alternatives":[{"score":-12.5,"words":[{"confidence":0.9,"end":10.4,"start":10.0,"text":"coil"},{"confidence":0.9,"end":10.9,"start":10.5,"text":"is"},{"confidence":0.9,"end":11.4,"start":11.0,"text":"iced"},{"confidence":0.9,"end":11.9,"start":11.5,"text":"over"},{"confidence":0.9,"end":12.4,"start":12.0,"text":"and"},{"confidence":0.9,"end":12.9,"start":12.5,"text":"the"},{"confidence":0.9,"end":13.4,"start":13.0,"text":"fan"},{"confidence":0.9,"end":13.9,"start":13.5,"text":"is"},{"confidence":0.9,"end":14.4,"start":14.0,"text":"not"}]}]}', 3, X'AC55228EA8BC011128909D8D0B36C8FF', X'CF620B47736666A35751DD91B49060E556604B760F68063E0FC6B389F49E5102', NULL);
CREATE TABLE words (
    visit INTEGER NOT NULL,
    utterance INTEGER NOT NULL,
    n INTEGER NOT NULL,
    text TEXT NOT NULL,
    start REAL NOT NULL,
    "end" REAL NOT NULL,
    confidence REAL NOT NULL,
    PRIMARY KEY (visit, utterance, n),
    FOREIGN KEY (visit, utterance) REFERENCES utterances(visit, n)
) WITHOUT ROWID;
INSERT INTO "words" ("visit", "utterance", "n", "text", "start", "end", "confidence") VALUES (1, 0, 0, 'compressor', 0.0, 0.4, 0.9);
INSERT INTO "words" ("visit", "utterance", "n", "text", "start", "end", "confidence") VALUES (1, 0, 1, 'common', 0.5, 0.9, 0.9);
INSERT INTO "words" ("visit", "utterance", "n", "text", "start", "end", "confidence") VALUES (1, 0, 2, 'to', 1.0, 1.4, 0.9);
INSERT INTO "words" ("visit", "utterance", "n", "text", "start", "end", "confidence") VALUES (1, 0, 3, 'run', 1.5, 1.9, 0.9);
INSERT INTO "words" ("visit", "utterance", "n", "text", "start", "end", "confidence") VALUES (1, 0, 4, 'twenty', 2.0, 2.4, 0.9);
INSERT INTO "words" ("visit", "utterance", "n", "text", "start", "end", "confidence") VALUES (1, 0, 5, 'four', 2.5, 2.9, 0.9);
INSERT INTO "words" ("visit", "utterance", "n", "text", "start", "end", "confidence") VALUES (1, 0, 6, 'point', 3.0, 3.4, 0.9);
INSERT INTO "words" ("visit", "utterance", "n", "text", "start", "end", "confidence") VALUES (1, 0, 7, 'three', 3.5, 3.9, 0.9);
INSERT INTO "words" ("visit", "utterance", "n", "text", "start", "end", "confidence") VALUES (1, 0, 8, 'oh', 4.0, 4.4, 0.9);
INSERT INTO "words" ("visit", "utterance", "n", "text", "start", "end", "confidence") VALUES (1, 0, 9, 'volts', 4.5, 4.9, 0.9);
INSERT INTO "words" ("visit", "utterance", "n", "text", "start", "end", "confidence") VALUES (1, 1, 0, 'coil', 10.0, 10.4, 0.9);
INSERT INTO "words" ("visit", "utterance", "n", "text", "start", "end", "confidence") VALUES (1, 1, 1, 'is', 10.5, 10.9, 0.9);
INSERT INTO "words" ("visit", "utterance", "n", "text", "start", "end", "confidence") VALUES (1, 1, 2, 'iced', 11.0, 11.4, 0.9);
INSERT INTO "words" ("visit", "utterance", "n", "text", "start", "end", "confidence") VALUES (1, 1, 3, 'over', 11.5, 11.9, 0.9);
INSERT INTO "words" ("visit", "utterance", "n", "text", "start", "end", "confidence") VALUES (1, 1, 4, 'and', 12.0, 12.4, 0.9);
INSERT INTO "words" ("visit", "utterance", "n", "text", "start", "end", "confidence") VALUES (1, 1, 5, 'the', 12.5, 12.9, 0.9);
INSERT INTO "words" ("visit", "utterance", "n", "text", "start", "end", "confidence") VALUES (1, 1, 6, 'fan', 13.0, 13.4, 0.9);
INSERT INTO "words" ("visit", "utterance", "n", "text", "start", "end", "confidence") VALUES (1, 1, 7, 'is', 13.5, 13.9, 0.9);
INSERT INTO "words" ("visit", "utterance", "n", "text", "start", "end", "confidence") VALUES (1, 1, 8, 'not', 14.0, 14.4, 0.9);
INSERT INTO "words" ("visit", "utterance", "n", "text", "start", "end", "confidence") VALUES (1, 1, 9, 'turning', 14.5, 14.9, 0.9);
INSERT INTO "words" ("visit", "utterance", "n", "text", "start", "end", "confidence") VALUES (2, 0, 0, 'compressor', 0.0, 0.4, 0.9);
INSERT INTO "words" ("visit", "utterance", "n", "text", "start", "end", "confidence") VALUES (2, 0, 1, 'common', 0.5, 0.9, 0.9);
INSERT INTO "words" ("visit", "utterance", "n", "text", "start", "end", "confidence") VALUES (2, 0, 2, 'to', 1.0, 1.4, 0.9);
INSERT INTO "words" ("visit", "utterance", "n", "text", "start", "end", "confidence") VALUES (2, 0, 3, 'run', 1.5, 1.9, 0.9);
INSERT INTO "words" ("visit", "utterance", "n", "text", "start", "end", "confidence") VALUES (2, 0, 4, 'twenty', 2.0, 2.4, 0.9);
INSERT INTO "words" ("visit", "utterance", "n", "text", "start", "end", "confidence") VALUES (2, 0, 5, 'four', 2.5, 2.9, 0.9);
INSERT INTO "words" ("visit", "utterance", "n", "text", "start", "end", "confidence") VALUES (2, 0, 6, 'point', 3.0, 3.4, 0.9);
INSERT INTO "words" ("visit", "utterance", "n", "text", "start", "end", "confidence") VALUES (2, 0, 7, 'three', 3.5, 3.9, 0.9);
INSERT INTO "words" ("visit", "utterance", "n", "text", "start", "end", "confidence") VALUES (2, 0, 8, 'oh', 4.0, 4.4, 0.9);
INSERT INTO "words" ("visit", "utterance", "n", "text", "start", "end", "confidence") VALUES (2, 0, 9, 'volts', 4.5, 4.9, 0.9);
INSERT INTO "words" ("visit", "utterance", "n", "text", "start", "end", "confidence") VALUES (2, 1, 0, 'coil', 10.0, 10.4, 0.9);
INSERT INTO "words" ("visit", "utterance", "n", "text", "start", "end", "confidence") VALUES (2, 1, 1, 'is', 10.5, 10.9, 0.9);
INSERT INTO "words" ("visit", "utterance", "n", "text", "start", "end", "confidence") VALUES (2, 1, 2, 'iced', 11.0, 11.4, 0.9);
INSERT INTO "words" ("visit", "utterance", "n", "text", "start", "end", "confidence") VALUES (2, 1, 3, 'over', 11.5, 11.9, 0.9);
INSERT INTO "words" ("visit", "utterance", "n", "text", "start", "end", "confidence") VALUES (2, 1, 4, 'and', 12.0, 12.4, 0.9);
INSERT INTO "words" ("visit", "utterance", "n", "text", "start", "end", "confidence") VALUES (2, 1, 5, 'the', 12.5, 12.9, 0.9);
INSERT INTO "words" ("visit", "utterance", "n", "text", "start", "end", "confidence") VALUES (2, 1, 6, 'fan', 13.0, 13.4, 0.9);
INSERT INTO "words" ("visit", "utterance", "n", "text", "start", "end", "confidence") VALUES (2, 1, 7, 'is', 13.5, 13.9, 0.9);
INSERT INTO "words" ("visit", "utterance", "n", "text", "start", "end", "confidence") VALUES (2, 1, 8, 'not', 14.0, 14.4, 0.9);
INSERT INTO "words" ("visit", "utterance", "n", "text", "start", "end", "confidence") VALUES (2, 1, 9, 'turning', 14.5, 14.9, 0.9);
CREATE TABLE equipment (
    visit INTEGER NOT NULL REFERENCES visits(visit),
    n INTEGER NOT NULL,
    name TEXT NOT NULL,
    type TEXT,
    maker TEXT,
    model TEXT,
    serial TEXT,
    refrigerant TEXT,
    charge TEXT,
    charge_unit TEXT,
    location TEXT,
    use TEXT,
    more TEXT NOT NULL,
    event INTEGER NOT NULL,
    salt BLOB NOT NULL,
    seal BLOB NOT NULL,
    blanked INTEGER,
    PRIMARY KEY (visit, n)
) WITHOUT ROWID;
INSERT INTO "equipment" ("visit", "n", "name", "type", "maker", "model", "serial", "refrigerant", "charge", "charge_unit", "location", "use", "more", "event", "salt", "seal", "blanked") VALUES (1, 0, 'reach-in 2', 'reach-in', 'Nordhus', 'NH-40', '77-1904', 'R-290', NULL, NULL, NULL, NULL, '{}', 2, X'8349E6152DBD50DDD7D17906103896CD', X'CAA4304829C6D8528A889ABE4BC08B91828747E60D19A54DAFE93711AFDEFDB2', NULL);
INSERT INTO "equipment" ("visit", "n", "name", "type", "maker", "model", "serial", "refrigerant", "charge", "charge_unit", "location", "use", "more", "event", "salt", "seal", "blanked") VALUES (2, 0, 'reach-in 2', 'reach-in', 'Nordhus', 'NH-40', '77-1904', 'R-290', NULL, NULL, NULL, NULL, '{}', 3, X'A8B0F7232591CBA03CFD5D800140BBB7', X'6FE9C2CF65C007458D88F02D53F4DE09610B59C3F6534084286304D025499233', NULL);
CREATE TABLE readings (
    visit INTEGER NOT NULL REFERENCES visits(visit),
    n INTEGER NOT NULL,
    id TEXT NOT NULL,
    kind TEXT NOT NULL,
    role TEXT NOT NULL,
    value TEXT,
    low TEXT,
    high TEXT,
    state TEXT,
    unit TEXT,
    component TEXT,
    points TEXT NOT NULL,
    equipment TEXT,
    phase TEXT NOT NULL,
    withdrawn INTEGER NOT NULL,
    evidence TEXT,
    more TEXT NOT NULL,
    event INTEGER NOT NULL,
    salt BLOB NOT NULL,
    seal BLOB NOT NULL,
    blanked INTEGER,
    PRIMARY KEY (visit, n)
) WITHOUT ROWID;
INSERT INTO "readings" ("visit", "n", "id", "kind", "role", "value", "low", "high", "state", "unit", "component", "points", "equipment", "phase", "withdrawn", "evidence", "more", "event", "salt", "seal", "blanked") VALUES (1, 0, 'reading-1', 'voltage', 'measured', '24.30', NULL, NULL, NULL, 'volt', 'compressor', '["common","run"]', 'reach-in 2', 'as found', 0, '{"confidence":0.9,"end":4.9,"first":0,"last":9,"recording":"r1","said":"compressor common to run twenty four point three oh volts","start":0.0,"utterance":0}', '{"alternatives":[{"value":"24.13","why":"thirteen"}],"doubts":[{"code":"confusable","why":"thirty and thirteen sound alike"}]}', 2, X'F300A166CA9893FB66FBB066D2388381', X'D5352B4BD8378D869A3EA0E5C893C72B4038F6F6DB9D4BDA55EC1B219D4BC962', NULL);
INSERT INTO "readings" ("visit", "n", "id", "kind", "role", "value", "low", "high", "state", "unit", "component", "points", "equipment", "phase", "withdrawn", "evidence", "more", "event", "salt", "seal", "blanked") VALUES (1, 1, 'reading-2', 'voltage', 'nameplate', '230', NULL, NULL, NULL, 'volt', 'compressor', '["common","run"]', 'reach-in 2', 'as found', 0, '{"confidence":0.9,"end":4.9,"first":0,"last":9,"recording":"r1","said":"compressor common to run twenty four point three oh volts","start":0.0,"utterance":0}', '{}', 2, X'C80E6DB7AD882F4081E45AA674DD8A62', X'C2783852DA044DFF98C69DFD73FA6CD0914DD58305D72603BF9E2CE6AFEB0CC7', NULL);
INSERT INTO "readings" ("visit", "n", "id", "kind", "role", "value", "low", "high", "state", "unit", "component", "points", "equipment", "phase", "withdrawn", "evidence", "more", "event", "salt", "seal", "blanked") VALUES (2, 0, 'reading-1', 'voltage', 'measured', '24.30', NULL, NULL, NULL, 'volt', 'compressor', '["common","run"]', 'reach-in 2', 'as found', 0, '{"confidence":0.9,"end":4.9,"first":0,"last":9,"recording":"r1","said":"compressor common to run twenty four point three oh volts","start":0.0,"utterance":0}', '{"alternatives":[{"value":"24.13","why":"thirteen"}],"doubts":[{"code":"confusable","why":"thirty and thirteen sound alike"}]}', 3, X'EBD4BFDCD1346357CAE843EC681640DB', X'3072EF696C2D51CF4F54EFB9C62FB2497BC4828640B85F589309EA9D1CA43910', NULL);
INSERT INTO "readings" ("visit", "n", "id", "kind", "role", "value", "low", "high", "state", "unit", "component", "points", "equipment", "phase", "withdrawn", "evidence", "more", "event", "salt", "seal", "blanked") VALUES (2, 1, 'reading-2', 'voltage', 'nameplate', '230', NULL, NULL, NULL, 'volt', 'compressor', '["common","run"]', 'reach-in 2', 'as found', 0, '{"confidence":0.9,"end":4.9,"first":0,"last":9,"recording":"r1","said":"compressor common to run twenty four point three oh volts","start":0.0,"utterance":0}', '{}', 3, X'98B1250854DB1ACE331DCCA3E68DC3F9', X'C62503380F6146663939E8595A5EDCA098D75A5CF509CEC94A8899FECAEB55D2', NULL);
CREATE TABLE findings (
    visit INTEGER NOT NULL REFERENCES visits(visit),
    n INTEGER NOT NULL,
    id TEXT NOT NULL,
    what TEXT NOT NULL,
    component TEXT,
    equipment TEXT,
    negated INTEGER NOT NULL,
    evidence TEXT,
    more TEXT NOT NULL,
    event INTEGER NOT NULL,
    salt BLOB NOT NULL,
    seal BLOB NOT NULL,
    blanked INTEGER,
    PRIMARY KEY (visit, n)
) WITHOUT ROWID;
INSERT INTO "findings" ("visit", "n", "id", "what", "component", "equipment", "negated", "evidence", "more", "event", "salt", "seal", "blanked") VALUES (1, 0, 'f1', 'iced over', 'coil', 'reach-in 2', 0, '{"end":11.9,"first":0,"last":3,"recording":"r1","said":"coil","start":10.0,"utterance":1}', '{}', 2, X'9996E3D37C236E9630E35DD38520D490', X'A74CD097493ECC6978614A6E9F64E41D07B9026AE81D26F3E25648EA9EB46E8E', NULL);
INSERT INTO "findings" ("visit", "n", "id", "what", "component", "equipment", "negated", "evidence", "more", "event", "salt", "seal", "blanked") VALUES (2, 0, 'f1', 'iced over', 'coil', 'reach-in 2', 0, '{"end":11.9,"first":0,"last":3,"recording":"r1","said":"coil","start":10.0,"utterance":1}', '{}', 3, X'ED3CF8A92B71CFF9F7B354E4F8026F99', X'7D5C763B1E812CBA19BE23911AB7CB639F0DD711B9CCDE203296A71607DB820E', NULL);
CREATE TABLE work (
    visit INTEGER NOT NULL REFERENCES visits(visit),
    n INTEGER NOT NULL,
    id TEXT NOT NULL,
    action TEXT NOT NULL,
    component TEXT,
    amount TEXT,
    unit TEXT,
    part TEXT,
    equipment TEXT,
    done INTEGER NOT NULL,
    evidence TEXT,
    more TEXT NOT NULL,
    event INTEGER NOT NULL,
    salt BLOB NOT NULL,
    seal BLOB NOT NULL,
    blanked INTEGER,
    PRIMARY KEY (visit, n)
) WITHOUT ROWID;
INSERT INTO "work" ("visit", "n", "id", "action", "component", "amount", "unit", "part", "equipment", "done", "evidence", "more", "event", "salt", "seal", "blanked") VALUES (1, 0, 'w1', 'replaced', 'evaporator fan motor', '1', NULL, 'EC-9', NULL, 1, NULL, '{}', 2, X'17B8850873244D20C5A888CEC65D3AD4', X'3DC2DD7586B93A0891AF42245127D6334AB0EC1DEEE426FB4C7EC491225ABDC8', NULL);
INSERT INTO "work" ("visit", "n", "id", "action", "component", "amount", "unit", "part", "equipment", "done", "evidence", "more", "event", "salt", "seal", "blanked") VALUES (2, 0, 'w1', 'replaced', 'evaporator fan motor', '1', NULL, 'EC-9', NULL, 1, NULL, '{}', 3, X'5BD338326E454DBBC3C937494D7A190B', X'110B99CABDD9350CB615A1FC7B9EDF8C6437C4B9C10532AAEE649C2917146096', NULL);
CREATE TABLE notes (
    visit INTEGER NOT NULL REFERENCES visits(visit),
    n INTEGER NOT NULL,
    id TEXT NOT NULL,
    topic TEXT NOT NULL,
    text TEXT NOT NULL,
    evidence TEXT,
    more TEXT NOT NULL,
    event INTEGER NOT NULL,
    salt BLOB NOT NULL,
    seal BLOB NOT NULL,
    blanked INTEGER,
    PRIMARY KEY (visit, n)
) WITHOUT ROWID;
INSERT INTO "notes" ("visit", "n", "id", "topic", "text", "evidence", "more", "event", "salt", "seal", "blanked") VALUES (1, 0, 'n1', 'complaint', 'case has been warm since Sunday', NULL, '{}', 2, X'6787BB07BE2164B3430C4E4E682C6DBD', X'1243A62A478EA2752700CD370B0D94081D692E7AE114C373ACA628F621DD0E86', NULL);
INSERT INTO "notes" ("visit", "n", "id", "topic", "text", "evidence", "more", "event", "salt", "seal", "blanked") VALUES (2, 0, 'n1', 'complaint', 'case has been warm since Sunday', NULL, '{}', 3, X'0E20C63D5F49FC875B27EE9655CFD84F', X'8EC1131CD2F3595EA0879447CB1662E46391F9379E7421FF9DF26DC85C59007F', NULL);
CREATE TABLE fields (
    visit INTEGER NOT NULL REFERENCES visits(visit),
    n INTEGER NOT NULL,
    id TEXT NOT NULL,
    name TEXT NOT NULL,
    value TEXT NOT NULL,
    source TEXT NOT NULL,
    equipment TEXT,
    evidence TEXT,
    more TEXT NOT NULL,
    event INTEGER NOT NULL,
    salt BLOB NOT NULL,
    seal BLOB NOT NULL,
    blanked INTEGER,
    PRIMARY KEY (visit, n)
) WITHOUT ROWID;
INSERT INTO "fields" ("visit", "n", "id", "name", "value", "source", "equipment", "evidence", "more", "event", "salt", "seal", "blanked") VALUES (1, 0, 'x1', 'work order', 'WO-1188', 'typed', NULL, NULL, '{}', 2, X'93EC0FE60AB17B0765E96AD055DEAEA9', X'BB7E8D754AB25CF054742D086EBEC287AECEE55C9D613F8F4F041292882945F8', NULL);
INSERT INTO "fields" ("visit", "n", "id", "name", "value", "source", "equipment", "evidence", "more", "event", "salt", "seal", "blanked") VALUES (2, 0, 'x1', 'work order', 'WO-1188', 'typed', NULL, NULL, '{}', 3, X'01D9B02730C4D12BA7E4219578ECEBA6', X'6AA2519C335508A3D1F162F77D6D8F8DC4E0E902E47E4711BA99436ABE29FF1F', NULL);
CREATE TABLE assessments (
    visit INTEGER NOT NULL REFERENCES visits(visit),
    n INTEGER NOT NULL,
    at TEXT NOT NULL,
    more TEXT NOT NULL,
    event INTEGER NOT NULL,
    salt BLOB NOT NULL,
    seal BLOB NOT NULL,
    blanked INTEGER,
    PRIMARY KEY (visit, n)
) WITHOUT ROWID;
INSERT INTO "assessments" ("visit", "n", "at", "more", "event", "salt", "seal", "blanked") VALUES (1, 0, '2026-11-25T09:59:41.612Z', '{"cautions":["Lock out and tag before touching the terminals."]}', 2, X'FE887A4739CE15F14433AF38D1FD6B84', X'BC32ABDFC55C1C526D19F3093CB4AE55BDDA8DD0DB773715AA80D6D7E905AF0F', NULL);
INSERT INTO "assessments" ("visit", "n", "at", "more", "event", "salt", "seal", "blanked") VALUES (2, 0, '2026-11-25T09:59:41.623Z', '{"cautions":["Lock out and tag before touching the terminals."]}', 3, X'8B7F36A3D33A75E7925A0430BA1AE60C', X'DAD8E65B6199739D38FBDF1AB7E87ABBB9C82F91DB1D6703C2E1BFB8DCDF6510', NULL);
CREATE TABLE verdicts (
    visit INTEGER NOT NULL REFERENCES visits(visit),
    n INTEGER NOT NULL,
    assessment INTEGER NOT NULL,
    id TEXT NOT NULL,
    "check" TEXT NOT NULL,
    version INTEGER NOT NULL,
    title TEXT NOT NULL,
    outcome TEXT NOT NULL,
    authority TEXT NOT NULL,
    plain TEXT NOT NULL,
    value TEXT,
    unit TEXT,
    equipment TEXT,
    component TEXT,
    phase TEXT NOT NULL,
    rests_on_doubt INTEGER NOT NULL,
    more TEXT NOT NULL,
    event INTEGER NOT NULL,
    salt BLOB NOT NULL,
    seal BLOB NOT NULL,
    blanked INTEGER,
    PRIMARY KEY (visit, n)
) WITHOUT ROWID;
INSERT INTO "verdicts" ("visit", "n", "assessment", "id", "check", "version", "title", "outcome", "authority", "plain", "value", "unit", "equipment", "component", "phase", "rests_on_doubt", "more", "event", "salt", "seal", "blanked") VALUES (1, 0, 0, 'verdict-1', 'supply voltage', 1, 'Supply voltage', 'outside', 'standard', 'The supply is far too low.', '24.30', 'volt', 'reach-in 2', NULL, 'as found', 0, '{"limits":[{"high":"253","low":"207","source":"our own example","unit":"volt"}],"readings":["reading-1"]}', 2, X'BA3FA51D02A79ECCFF71FC29C5EB871D', X'A1F327B1D816669DF32AB76DFC3D7549DA3AB7A02E0884CA1274AC0B7E4285BD', NULL);
INSERT INTO "verdicts" ("visit", "n", "assessment", "id", "check", "version", "title", "outcome", "authority", "plain", "value", "unit", "equipment", "component", "phase", "rests_on_doubt", "more", "event", "salt", "seal", "blanked") VALUES (2, 0, 0, 'verdict-1', 'supply voltage', 1, 'Supply voltage', 'outside', 'standard', 'The supply is far too low.', '24.30', 'volt', 'reach-in 2', NULL, 'as found', 0, '{"limits":[{"high":"253","low":"207","source":"our own example","unit":"volt"}],"readings":["reading-1"]}', 3, X'EB92D7930C2884CAC46CEFD3A83CCF19', X'82E875AAC2424B39FF4D7551D9031ABCC72A7F4B400EEDD790D526182A7C95CF', NULL);
CREATE TABLE diagnoses (
    visit INTEGER NOT NULL REFERENCES visits(visit),
    n INTEGER NOT NULL,
    assessment INTEGER NOT NULL,
    id TEXT NOT NULL,
    title TEXT NOT NULL,
    because TEXT NOT NULL,
    confirm TEXT NOT NULL,
    proposed_by TEXT NOT NULL,
    equipment TEXT,
    more TEXT NOT NULL,
    event INTEGER NOT NULL,
    salt BLOB NOT NULL,
    seal BLOB NOT NULL,
    blanked INTEGER,
    PRIMARY KEY (visit, n)
) WITHOUT ROWID;
INSERT INTO "diagnoses" ("visit", "n", "assessment", "id", "title", "because", "confirm", "proposed_by", "equipment", "more", "event", "salt", "seal", "blanked") VALUES (1, 0, 0, 'd1', 'Low supply', '24.30 V where 230 V belong', 'read at the disconnect', 'journal', NULL, '{}', 2, X'575A0A0217BAF2B6B904C384AD49FD8D', X'BC14E52E048E1AA9F499B0250B9529EFD6833E0A34B0C9D4BCB1913A5379C5DA', NULL);
INSERT INTO "diagnoses" ("visit", "n", "assessment", "id", "title", "because", "confirm", "proposed_by", "equipment", "more", "event", "salt", "seal", "blanked") VALUES (2, 0, 0, 'd1', 'Low supply', '24.30 V where 230 V belong', 'read at the disconnect', 'journal', NULL, '{}', 3, X'7A45ED35092DAFD675BBB1461202E63B', X'89FDCCB90717E4DCEDEB4CA8A44AED80B53196D22DA6583FAF1859BB7BE59B28', NULL);
CREATE TABLE overview (
    visit INTEGER PRIMARY KEY,
    id TEXT NOT NULL,
    code TEXT NOT NULL,
    moment TEXT NOT NULL,
    started TEXT,
    made TEXT NOT NULL,
    title TEXT NOT NULL,
    technician TEXT,
    site TEXT,
    status TEXT NOT NULL,
    complaint TEXT NOT NULL,
    machines TEXT NOT NULL,
    seconds REAL NOT NULL,
    readings INTEGER NOT NULL,
    doubtful INTEGER NOT NULL,
    corrected INTEGER NOT NULL,
    within INTEGER NOT NULL,
    marginal INTEGER NOT NULL,
    outside INTEGER NOT NULL,
    undetermined INTEGER NOT NULL
);
INSERT INTO "overview" ("visit", "id", "code", "moment", "started", "made", "title", "technician", "site", "status", "complaint", "machines", "seconds", "readings", "doubtful", "corrected", "within", "marginal", "outside", "undetermined") VALUES (1, '0192f0c4-7c1e-7b7a-9a53-2f6d6a6f1c11', 'XXX994', '2026-03-02T09:15:00Z', '2026-03-02T09:15:00Z', '2026-11-25T09:59:41.595Z', 'Reach-in warm', 'Ola Brandt', 'Corner Larder', 'complete', 'case has been warm since Sunday', '["reach-in 2"]', 61.5, 2, 1, 0, 0, 0, 1, 0);
INSERT INTO "overview" ("visit", "id", "code", "moment", "started", "made", "title", "technician", "site", "status", "complaint", "machines", "seconds", "readings", "doubtful", "corrected", "within", "marginal", "outside", "undetermined") VALUES (2, '0192f0c4-7c1e-7b7a-9a53-2f6d6a6f1c22', 'Y742K9', '2026-03-09T10:00:00Z', '2026-03-09T10:00:00Z', '2026-11-25T09:59:41.623Z', 'It''s a typed visit', 'Ola Brandt', 'Corner Larder', 'complete', 'case has been warm since Sunday', '["reach-in 2"]', 0.0, 2, 1, 0, 0, 0, 1, 0);
CREATE TABLE machines (
    visit INTEGER NOT NULL,
    n INTEGER NOT NULL,
    name TEXT NOT NULL COLLATE NOCASE,
    serial TEXT COLLATE NOCASE,
    site TEXT COLLATE NOCASE,
    maker TEXT,
    model TEXT,
    PRIMARY KEY (visit, n)
) WITHOUT ROWID;
INSERT INTO "machines" ("visit", "n", "name", "serial", "site", "maker", "model") VALUES (1, 0, 'reach-in 2', '77-1904', 'Corner Larder', 'Nordhus', 'NH-40');
INSERT INTO "machines" ("visit", "n", "name", "serial", "site", "maker", "model") VALUES (2, 0, 'reach-in 2', '77-1904', 'Corner Larder', 'Nordhus', 'NH-40');
CREATE VIRTUAL TABLE findable USING fts5(
    narration, findings, work, notes, machine,
    tokenize = "porter unicode61 remove_diacritics 2"
);
INSERT INTO "findable" ("rowid", "narration", "findings", "work", "notes", "machine") VALUES (1, 'compressor common to run twenty four point three oh volts
coil is iced over and the fan is not turning', 'coil iced over', 'replaced evaporator fan motor EC-9', 'case has been warm since Sunday
WO-1188', 'Reach-in warm
Corner Larder
Ola Brandt
reach-in 2
reach-in
Nordhus
NH-40
77-1904');
INSERT INTO "findable" ("rowid", "narration", "findings", "work", "notes", "machine") VALUES (2, 'compressor common to run twenty four point three oh volts
coil is iced over and the fan is not turning', 'coil iced over', 'replaced evaporator fan motor EC-9', 'case has been warm since Sunday
WO-1188', 'It''s a typed visit
Corner Larder
Ola Brandt
reach-in 2
reach-in
Nordhus
NH-40
77-1904');
CREATE UNIQUE INDEX "idx__sqlite_migrations_migration_set_name"
    ON "_sqlite_migrations" ("migration_set", "name");
CREATE INDEX overview_by_moment ON overview(moment DESC);
CREATE INDEX machines_by_serial ON machines(serial);
CREATE INDEX machines_by_site ON machines(site, name);
CREATE INDEX machines_by_name ON machines(name);
CREATE TRIGGER assessments_guards_insert BEFORE INSERT ON assessments WHEN EXISTS (SELECT 1 FROM assessments WHERE visit = NEW.visit AND n = NEW.n) BEGIN SELECT RAISE(ABORT, 'assessments: only new rows may be added here; what was written stays'); END;
CREATE TRIGGER assessments_guards_update BEFORE UPDATE ON assessments WHEN 1 BEGIN SELECT RAISE(ABORT, 'assessments: only new rows may be added here; what was written stays'); END;
CREATE TRIGGER assessments_guards_delete BEFORE DELETE ON assessments WHEN 1 BEGIN SELECT RAISE(ABORT, 'assessments: only new rows may be added here; what was written stays'); END;
CREATE TRIGGER diagnoses_guards_insert BEFORE INSERT ON diagnoses WHEN EXISTS (SELECT 1 FROM diagnoses WHERE visit = NEW.visit AND n = NEW.n) BEGIN SELECT RAISE(ABORT, 'diagnoses: only new rows may be added here; what was written stays'); END;
CREATE TRIGGER diagnoses_guards_update BEFORE UPDATE ON diagnoses WHEN 1 BEGIN SELECT RAISE(ABORT, 'diagnoses: only new rows may be added here; what was written stays'); END;
CREATE TRIGGER diagnoses_guards_delete BEFORE DELETE ON diagnoses WHEN 1 BEGIN SELECT RAISE(ABORT, 'diagnoses: only new rows may be added here; what was written stays'); END;
CREATE TRIGGER equipment_guards_insert BEFORE INSERT ON equipment WHEN EXISTS (SELECT 1 FROM equipment WHERE visit = NEW.visit AND n = NEW.n) BEGIN SELECT RAISE(ABORT, 'equipment: only new rows may be added here; what was written stays'); END;
CREATE TRIGGER equipment_guards_update BEFORE UPDATE ON equipment WHEN 1 BEGIN SELECT RAISE(ABORT, 'equipment: only new rows may be added here; what was written stays'); END;
CREATE TRIGGER equipment_guards_delete BEFORE DELETE ON equipment WHEN 1 BEGIN SELECT RAISE(ABORT, 'equipment: only new rows may be added here; what was written stays'); END;
CREATE TRIGGER fields_guards_insert BEFORE INSERT ON fields WHEN EXISTS (SELECT 1 FROM fields WHERE visit = NEW.visit AND n = NEW.n) BEGIN SELECT RAISE(ABORT, 'fields: only new rows may be added here; what was written stays'); END;
CREATE TRIGGER fields_guards_update BEFORE UPDATE ON fields WHEN 1 BEGIN SELECT RAISE(ABORT, 'fields: only new rows may be added here; what was written stays'); END;
CREATE TRIGGER fields_guards_delete BEFORE DELETE ON fields WHEN 1 BEGIN SELECT RAISE(ABORT, 'fields: only new rows may be added here; what was written stays'); END;
CREATE TRIGGER findings_guards_insert BEFORE INSERT ON findings WHEN EXISTS (SELECT 1 FROM findings WHERE visit = NEW.visit AND n = NEW.n) BEGIN SELECT RAISE(ABORT, 'findings: only new rows may be added here; what was written stays'); END;
CREATE TRIGGER findings_guards_update BEFORE UPDATE ON findings WHEN 1 BEGIN SELECT RAISE(ABORT, 'findings: only new rows may be added here; what was written stays'); END;
CREATE TRIGGER findings_guards_delete BEFORE DELETE ON findings WHEN 1 BEGIN SELECT RAISE(ABORT, 'findings: only new rows may be added here; what was written stays'); END;
CREATE TRIGGER notes_guards_insert BEFORE INSERT ON notes WHEN EXISTS (SELECT 1 FROM notes WHERE visit = NEW.visit AND n = NEW.n) BEGIN SELECT RAISE(ABORT, 'notes: only new rows may be added here; what was written stays'); END;
CREATE TRIGGER notes_guards_update BEFORE UPDATE ON notes WHEN 1 BEGIN SELECT RAISE(ABORT, 'notes: only new rows may be added here; what was written stays'); END;
CREATE TRIGGER notes_guards_delete BEFORE DELETE ON notes WHEN 1 BEGIN SELECT RAISE(ABORT, 'notes: only new rows may be added here; what was written stays'); END;
CREATE TRIGGER readings_guards_insert BEFORE INSERT ON readings WHEN EXISTS (SELECT 1 FROM readings WHERE visit = NEW.visit AND n = NEW.n) BEGIN SELECT RAISE(ABORT, 'readings: only new rows may be added here; what was written stays'); END;
CREATE TRIGGER readings_guards_update BEFORE UPDATE ON readings WHEN 1 BEGIN SELECT RAISE(ABORT, 'readings: only new rows may be added here; what was written stays'); END;
CREATE TRIGGER readings_guards_delete BEFORE DELETE ON readings WHEN 1 BEGIN SELECT RAISE(ABORT, 'readings: only new rows may be added here; what was written stays'); END;
CREATE TRIGGER recordings_guards_insert BEFORE INSERT ON recordings WHEN EXISTS (SELECT 1 FROM recordings WHERE visit = NEW.visit AND n = NEW.n) BEGIN SELECT RAISE(ABORT, 'recordings: only new rows may be added here; what was written stays'); END;
CREATE TRIGGER recordings_guards_update BEFORE UPDATE ON recordings WHEN 1 BEGIN SELECT RAISE(ABORT, 'recordings: only new rows may be added here; what was written stays'); END;
CREATE TRIGGER recordings_guards_delete BEFORE DELETE ON recordings WHEN 1 BEGIN SELECT RAISE(ABORT, 'recordings: only new rows may be added here; what was written stays'); END;
CREATE TRIGGER utterances_guards_insert BEFORE INSERT ON utterances WHEN EXISTS (SELECT 1 FROM utterances WHERE visit = NEW.visit AND n = NEW.n) BEGIN SELECT RAISE(ABORT, 'utterances: only new rows may be added here; what was written stays'); END;
CREATE TRIGGER utterances_guards_update BEFORE UPDATE ON utterances WHEN 1 BEGIN SELECT RAISE(ABORT, 'utterances: only new rows may be added here; what was written stays'); END;
CREATE TRIGGER utterances_guards_delete BEFORE DELETE ON utterances WHEN 1 BEGIN SELECT RAISE(ABORT, 'utterances: only new rows may be added here; what was written stays'); END;
CREATE TRIGGER verdicts_guards_insert BEFORE INSERT ON verdicts WHEN EXISTS (SELECT 1 FROM verdicts WHERE visit = NEW.visit AND n = NEW.n) BEGIN SELECT RAISE(ABORT, 'verdicts: only new rows may be added here; what was written stays'); END;
CREATE TRIGGER verdicts_guards_update BEFORE UPDATE ON verdicts WHEN 1 BEGIN SELECT RAISE(ABORT, 'verdicts: only new rows may be added here; what was written stays'); END;
CREATE TRIGGER verdicts_guards_delete BEFORE DELETE ON verdicts WHEN 1 BEGIN SELECT RAISE(ABORT, 'verdicts: only new rows may be added here; what was written stays'); END;
CREATE TRIGGER visits_guards_insert BEFORE INSERT ON visits WHEN EXISTS (SELECT 1 FROM visits WHERE visit = NEW.visit) BEGIN SELECT RAISE(ABORT, 'visits: only new rows may be added here; what was written stays'); END;
CREATE TRIGGER visits_guards_update BEFORE UPDATE ON visits WHEN 1 BEGIN SELECT RAISE(ABORT, 'visits: only new rows may be added here; what was written stays'); END;
CREATE TRIGGER visits_guards_delete BEFORE DELETE ON visits WHEN 1 BEGIN SELECT RAISE(ABORT, 'visits: only new rows may be added here; what was written stays'); END;
CREATE TRIGGER work_guards_insert BEFORE INSERT ON work WHEN EXISTS (SELECT 1 FROM work WHERE visit = NEW.visit AND n = NEW.n) BEGIN SELECT RAISE(ABORT, 'work: only new rows may be added here; what was written stays'); END;
CREATE TRIGGER work_guards_update BEFORE UPDATE ON work WHEN 1 BEGIN SELECT RAISE(ABORT, 'work: only new rows may be added here; what was written stays'); END;
CREATE TRIGGER work_guards_delete BEFORE DELETE ON work WHEN 1 BEGIN SELECT RAISE(ABORT, 'work: only new rows may be added here; what was written stays'); END;
CREATE TRIGGER ledger_guards_insert BEFORE INSERT ON ledger WHEN EXISTS (SELECT 1 FROM ledger WHERE seq = NEW.seq) BEGIN SELECT RAISE(ABORT, 'ledger: only new rows may be added here; what was written stays'); END;
CREATE TRIGGER ledger_guards_update BEFORE UPDATE ON ledger WHEN 1 BEGIN SELECT RAISE(ABORT, 'ledger: only new rows may be added here; what was written stays'); END;
CREATE TRIGGER ledger_guards_delete BEFORE DELETE ON ledger WHEN 1 BEGIN SELECT RAISE(ABORT, 'ledger: only new rows may be added here; what was written stays'); END;
CREATE TRIGGER words_guards_insert BEFORE INSERT ON words WHEN EXISTS (SELECT 1 FROM words WHERE visit = NEW.visit AND utterance = NEW.utterance AND n = NEW.n) BEGIN SELECT RAISE(ABORT, 'words: only new rows may be added here; what was written stays'); END;
CREATE TRIGGER words_guards_update BEFORE UPDATE ON words WHEN 1 BEGIN SELECT RAISE(ABORT, 'words: only new rows may be added here; what was written stays'); END;
CREATE TRIGGER words_guards_delete BEFORE DELETE ON words WHEN 1 BEGIN SELECT RAISE(ABORT, 'words: only new rows may be added here; what was written stays'); END;
CREATE TRIGGER about_guards_insert BEFORE INSERT ON about WHEN EXISTS (SELECT 1 FROM about WHERE name = NEW.name) BEGIN SELECT RAISE(ABORT, 'about: only new rows may be added here; what was written stays'); END;
CREATE TRIGGER about_guards_update BEFORE UPDATE ON about WHEN 1 BEGIN SELECT RAISE(ABORT, 'about: only new rows may be added here; what was written stays'); END;
CREATE TRIGGER about_guards_delete BEFORE DELETE ON about WHEN 1 BEGIN SELECT RAISE(ABORT, 'about: only new rows may be added here; what was written stays'); END;
