PRAGMA application_id=1130720364;
PRAGMA user_version=5;
BEGIN TRANSACTION;
CREATE TABLE _sqlite_migrations (
    id INTEGER PRIMARY KEY,
    migration_set TEXT NOT NULL,
    name TEXT NOT NULL,
    applied_at TEXT NOT NULL
) STRICT;
INSERT INTO "_sqlite_migrations" VALUES(1,'cellar','1_ledger_and_board','2026-11-27 16:52:06.536562+00:00');
INSERT INTO "_sqlite_migrations" VALUES(2,'cellar','2_seals','2026-11-27 16:52:06.536828+00:00');
INSERT INTO "_sqlite_migrations" VALUES(3,'cellar','3_free_so2_of_a_day','2026-11-27 17:04:19.808147+00:00');
INSERT INTO "_sqlite_migrations" VALUES(4,'cellar','4_views','2026-11-27 18:30:57.627546+00:00');
INSERT INTO "_sqlite_migrations" VALUES(5,'cellar','5_laboratory','2026-11-27 21:10:19.963496+00:00');
CREATE TABLE action (
    key TEXT NOT NULL,
    vessel INTEGER NOT NULL REFERENCES vessel (id),
    filling INTEGER NOT NULL REFERENCES entry (seq),
    rule TEXT NOT NULL,
    due TEXT NOT NULL CHECK (due GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    window_from TEXT NOT NULL CHECK (window_from GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    window_to TEXT NOT NULL CHECK (window_to GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    show TEXT NOT NULL CHECK (show GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    expires TEXT CHECK (expires GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    hard INTEGER NOT NULL CHECK (hard IN (0, 1)),
    postponed INTEGER NOT NULL CHECK (postponed IN (0, 1)),
    dose_material TEXT,
    dose_amount REAL CHECK (dose_amount BETWEEN -1e12 AND 1e12),
    dose_unit TEXT,
    dose_note TEXT,
    kit TEXT NOT NULL,
    because TEXT NOT NULL,
    entries TEXT NOT NULL,
    PRIMARY KEY (vessel, key)
) STRICT;
INSERT INTO "action" VALUES('gravity_check:4:4',2,4,'gravity_check','2026-02-22','2026-02-22','2026-02-22','2026-02-22',NULL,0,0,NULL,NULL,NULL,NULL,'hydrometer','{"task":"read gravity","anchor":4,"why":{"rule":"gravity_check","reason":"the first gravity of the finished wine","formula":"","source":"common practice","facts":[["ferment finished","2026-02-22","",[4],"2026-02-22"],["counted from","2026-02-22","",[4],"2026-02-22"],["house rule steady_sg",0.001,"SG",[],null]]},"ways":[0,1]}','[4]');
INSERT INTO "action" VALUES('smell_check:4:4',2,4,'smell_check','2026-02-22','2026-02-22','2026-02-22','2026-02-22',NULL,0,0,NULL,NULL,NULL,NULL,'glass','{"task":"smell and taste","anchor":4,"why":{"rule":"smell_check","reason":"its nose tells first what goes wrong","formula":"","source":"common practice","facts":[["end of ferment","2026-02-22","",[4],"2026-02-22"]]},"ways":[0]}','[4]');
INSERT INTO "action" VALUES('top_up:4:4',2,4,'top_up','2026-02-22','2026-02-22','2026-02-22','2026-02-22',NULL,0,0,NULL,NULL,NULL,NULL,'hoses','{"task":"top up 0.3 L, or move it to a smaller vessel","anchor":4,"why":{"rule":"top_up","reason":"air above the wine feeds film and vinegar","formula":"capacity - volume","source":"common practice","facts":[["gap to the stopper",0.3,"L",[4],"2026-02-22"],["house rule ullage_share",0.5,"%",[],null],["house rule ullage_volume",0.05,"L",[],null]]},"ways":[0,1,2]}','[4]');
INSERT INTO "action" VALUES('rack:4:4',2,4,'rack','2026-02-25','2026-02-25','2026-03-04','2026-02-25',NULL,0,0,NULL,NULL,NULL,NULL,'hoses','{"task":"rack off the gross lees","anchor":4,"why":{"rule":"rack","reason":"gross lees spoil a wine that lies on them","formula":"finish + 3 to 10 d","source":"common practice","facts":[["ferment finished","2026-02-22","",[4],"2026-02-22"],["house rule first_rack_from",3.0,"d",[],null],["house rule first_rack_to",10.0,"d",[],null]]},"ways":[0]}','[4]');
INSERT INTO "action" VALUES('level_look:4:4',2,4,'level_look','2026-03-08','2026-03-08','2026-03-08','2026-03-08',NULL,0,0,NULL,NULL,NULL,NULL,'eyes','{"task":"look at the level","anchor":4,"why":{"rule":"level_look","reason":"airlocks dry out and levels sink unseen","formula":"last look + interval","source":"common practice","facts":[["last look, or the finish","2026-02-22","",[4],"2026-02-22"],["house rule level_days_bare",14.0,"d",[],null]]},"ways":[0]}','[4]');
INSERT INTO "action" VALUES('sulfite:4:5',2,4,'sulfite','2026-03-12','2026-03-12','2026-03-13','2026-03-12','2026-04-02',0,0,'potassium_metabisulfite',3.62336669289795576531e+00,'g','+92 mg/L total; 0.5 of it is taken to stay free','scales','{"task":"add sulfite","anchor":5,"why":{"rule":"sulfite","reason":"the ferment is over, its carbon dioxide no longer protects the wine","formula":"","source":"Waterhouse, Sacks & Jeffery 2016, ch. 17 (seen); pKa 1.81 fitted to the UC table of 1982 (seen)","facts":[["ready for sulfite since","2026-03-12","",[5],"2026-03-12"],["house rule first_sulfite_days",1.0,"d",[],null],["house rule dose_reading_age",21.0,"d",[],null],["house rule dose_spread",5.0,"mg/L",[],null],["house rule recheck_least",7.0,"d",[],null],["pH",3.5,"pH",[5],"2026-03-12"],["molecular SO2 aimed at",0.8,"mg/L",[4],null],["house rule free_floor",20.0,"mg/L",[],null],["house rule floor_molecular",1.5,"mg/L",[],null],["house rule share_first",0.5,"",[],null],["last free SO2",8.0,"mg/L",[5],"2026-03-12"],["house rule loss_glass",0.004,"a day",[],null],["house rule loss_spread",1.5,"x",[],null],["house rule dose_lasts",75.0,"d",[],null],["house rule dose_least",8.0,"mg/L",[],null],["house rule dose_most",20.0,"mg/L",[],null],["house rule molecular_most",2.0,"mg/L",[],null],["free SO2 aimed at",54.0,"mg/L",[],null],["house rule jurisdiction","home","",[],null],["volume",22.7,"L",[],null],["rise of total SO2",91.9,"mg/L",[],null]]},"ways":[0],"dose":{"rule":"sulfite","reason":"+92 mg/L total; 0.5 of it is taken to stay free","formula":"(aim - free now) / share staying free x volume / (1000 x 0.576)","source":"Waterhouse, Sacks & Jeffery 2016, ch. 17 (seen); pKa 1.81 fitted to the UC table of 1982 (seen)","facts":[["pH",3.5,"pH",[5],"2026-03-12"],["molecular SO2 aimed at",0.8,"mg/L",[4],null],["house rule free_floor",20.0,"mg/L",[],null],["house rule floor_molecular",1.5,"mg/L",[],null],["house rule share_first",0.5,"",[],null],["last free SO2",8.0,"mg/L",[5],"2026-03-12"],["house rule loss_glass",0.004,"a day",[],null],["house rule loss_spread",1.5,"x",[],null],["house rule dose_lasts",75.0,"d",[],null],["house rule dose_least",8.0,"mg/L",[],null],["house rule dose_most",20.0,"mg/L",[],null],["house rule molecular_most",2.0,"mg/L",[],null],["free SO2 aimed at",54.0,"mg/L",[],null],["house rule jurisdiction","home","",[],null],["volume",22.7,"L",[],null],["rise of total SO2",91.9,"mg/L",[],null]]}}','[5, 4]');
INSERT INTO "action" VALUES('ph_check:4:5',2,4,'ph_check','2026-03-27','2026-03-27','2026-03-27','2026-03-27','2026-04-02',0,0,NULL,NULL,NULL,NULL,'pH meter','{"task":"read pH","anchor":5,"why":{"rule":"ph_check","reason":"the pH is old; the sulfite dose rests on it","formula":"","source":"common practice","facts":[["pH",3.5,"pH",[5],"2026-03-12"],["house rule ph_age_first",14.0,"d",[],null]]},"ways":[1]}','[5]');
INSERT INTO "action" VALUES('so2_recheck:4:5',2,4,'so2_recheck','2026-04-03','2026-04-03','2026-04-03','2026-04-03',NULL,0,0,NULL,NULL,NULL,NULL,'so2 test','{"task":"read free SO2","anchor":5,"why":{"rule":"so2_recheck","reason":"the sulfite asked for has waited until its reading is too old to dose on","formula":"reading + at most 21 d, exceeded","source":"common practice","facts":[["reading","2026-03-12","",[5],"2026-03-12"],["house rule dose_reading_age",21.0,"d",[],null],["house rule dose_spread",5.0,"mg/L",[],null],["house rule recheck_least",7.0,"d",[],null]]},"ways":[1,2]}','[5]');
INSERT INTO "action" VALUES('gravity_check:6:6',3,6,'gravity_check','2026-02-12','2026-02-12','2026-02-12','2026-02-12',NULL,0,0,NULL,NULL,NULL,NULL,'hydrometer','{"task":"read gravity","anchor":6,"why":{"rule":"gravity_check","reason":"the first gravity of the finished wine","formula":"","source":"common practice","facts":[["ferment finished","2026-02-12","",[6],"2026-02-12"],["counted from","2026-02-12","",[6],"2026-02-12"],["house rule steady_sg",0.001,"SG",[],null]]},"ways":[0,1]}','[6]');
INSERT INTO "action" VALUES('smell_check:6:6',3,6,'smell_check','2026-02-12','2026-02-12','2026-02-12','2026-02-12',NULL,0,0,NULL,NULL,NULL,NULL,'glass','{"task":"smell and taste","anchor":6,"why":{"rule":"smell_check","reason":"its nose tells first what goes wrong","formula":"","source":"common practice","facts":[["end of ferment","2026-02-12","",[6],"2026-02-12"]]},"ways":[0]}','[6]');
INSERT INTO "action" VALUES('top_up:6:6',3,6,'top_up','2026-02-12','2026-02-12','2026-02-12','2026-02-12',NULL,0,0,NULL,NULL,NULL,NULL,'hoses','{"task":"top up 0.5 L, or move it to a smaller vessel","anchor":6,"why":{"rule":"top_up","reason":"air above the wine feeds film and vinegar; oak drinks and breathes","formula":"capacity - volume","source":"common practice","facts":[["gap to the stopper",0.5,"L",[6],"2026-02-12"],["house rule ullage_oak",2.0,"%",[],null],["last full","2026-02-12","",[6],"2026-02-12"],["house rule top_oak_weeks",4.0,"weeks",[],null]]},"ways":[0,1,2]}','[6]');
INSERT INTO "action" VALUES('rack:6:6',3,6,'rack','2026-02-15','2026-02-15','2026-02-22','2026-02-15',NULL,0,0,NULL,NULL,NULL,NULL,'hoses','{"task":"rack off the gross lees","anchor":6,"why":{"rule":"rack","reason":"gross lees spoil a wine that lies on them","formula":"finish + 3 to 10 d","source":"common practice","facts":[["ferment finished","2026-02-12","",[6],"2026-02-12"],["house rule first_rack_from",3.0,"d",[],null],["house rule first_rack_to",10.0,"d",[],null]]},"ways":[0]}','[6]');
INSERT INTO "action" VALUES('malolactic_check:6:6',3,6,'malolactic_check','2026-02-26','2026-02-26','2026-02-26','2026-02-26',NULL,0,0,NULL,NULL,NULL,NULL,'malic test','{"task":"look at malic acid","anchor":6,"why":{"rule":"malolactic_check","reason":"the first look at a running one","formula":"start + 14 d","source":"common practice","facts":[["malolactic started","2026-02-12","",[6],"2026-02-12"],["house rule malolactic_first_days",14.0,"d",[],null]]},"ways":[0,1]}','[6]');
INSERT INTO "action" VALUES('malolactic_overdue:6:6',3,6,'malolactic_overdue','2026-03-29','2026-03-29','2026-03-29','2026-03-29',NULL,0,0,NULL,NULL,NULL,NULL,'malic test','{"task":"decide about the malolactic fermentation","anchor":6,"why":{"rule":"malolactic_overdue","reason":"malic acid was never measured since; it should be through by then","formula":"dryness + 45 d","source":"common practice","facts":[["dry, or last decided","2026-02-12","",[6],"2026-02-12"],["house rule malolactic_unmeasured_days",45.0,"d",[],null],["house rule malolactic_overdue_days",60.0,"d",[],null]]},"ways":[0,1,2,3]}','[6]');
CREATE TABLE entry (
    seq INTEGER PRIMARY KEY,
    key BLOB NOT NULL UNIQUE CHECK (length(key) = 16),
    on_day TEXT NOT NULL CHECK (on_day GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]' AND date(on_day, '+0 days') IS on_day),
    minute INTEGER CHECK (minute BETWEEN 0 AND 1439),
    recorded_at TEXT NOT NULL CHECK (recorded_at GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9][0-9]:[0-9][0-9]:[0-9][0-9]Z'),
    by TEXT NOT NULL CHECK (length(by) BETWEEN 1 AND 200),
    kind TEXT NOT NULL CHECK (length(kind) BETWEEN 1 AND 40),
    vessel INTEGER REFERENCES vessel (id) DEFERRABLE INITIALLY DEFERRED,
    supersedes INTEGER UNIQUE REFERENCES entry (seq) CHECK (supersedes < seq),
    batch INTEGER CHECK (batch BETWEEN 1 AND seq),
    material TEXT CHECK (length(material) BETWEEN 1 AND 200),
    amount REAL CHECK (amount BETWEEN 0 AND 1e9),
    volume REAL CHECK (volume BETWEEN 0 AND 1e9),
    so2_mg REAL CHECK (so2_mg BETWEEN 0 AND 1e12),
    sorbate_g REAL CHECK (sorbate_g BETWEEN 0 AND 1e9),
    sugar_g REAL CHECK (sugar_g BETWEEN 0 AND 1e12),
    sg REAL CHECK (sg BETWEEN 0.97 AND 1.2),
    temperature REAL CHECK (temperature BETWEEN -10 AND 45),
    ph REAL CHECK (ph BETWEEN 2.2 AND 4.8),
    free_so2 REAL CHECK (free_so2 BETWEEN 0 AND 1000),
    total_so2 REAL CHECK (total_so2 BETWEEN 0 AND 2000),
    malic REAL CHECK (malic BETWEEN 0 AND 20),
    body TEXT NOT NULL CHECK (length(body) BETWEEN 1 AND 200000),
    hash BLOB NOT NULL CHECK (length(hash) = 16)
) STRICT;
INSERT INTO "entry" VALUES(1,X'74686520666972737420656E7472792E','2026-03-14',NULL,'2026-03-14T18:05:00Z','ida','rule',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,'{"says":{"name":"zone","value":"Europe/Berlin"}}',X'A8C48C9CABE399D98D88C56D00E7A7FA');
INSERT INTO "entry" VALUES(2,X'020B1D306DE84951A962F0CDCA9AC325','2026-03-14',NULL,'2026-03-14T18:05:00Z','ida','vessel',2,NULL,NULL,'glass',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,'{"says":{"name":"Demijohn 1","capacity":23.0,"place":"back wall"},"typed":{"name":"Demijohn 1","capacity":"23L","material":"glass","place":"back wall"}}',X'C70CBF49E35AC70EF866BA08197B39BB');
INSERT INTO "entry" VALUES(3,X'156BB3777A234970AE1E5488EE661C9C','2026-03-14',NULL,'2026-03-14T18:05:00Z','ida','vessel',3,NULL,NULL,'oak',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,'{"says":{"name":"Barrel 1","capacity":24.0,"place":"cool room"},"typed":{"name":"Barrel 1","capacity":"24L","material":"oak","place":"cool room"}}',X'FC1F19CC3B0DA819D0BBED3451D64D5D');
INSERT INTO "entry" VALUES(4,X'EBC2AAAD5BC044FEA16714D34843EC3C','2026-02-22',NULL,'2026-03-14T18:05:00Z','ida','wine',2,NULL,NULL,NULL,NULL,22.7,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,'{"says":{"name":"Terrace","style":"dry_white","finished":true,"alcohol":12.0},"typed":{"name":"Terrace","style":"dry_white","volume":"22.7","finished":"yes","alcohol":"12"}}',X'3A6BCF0961F6727EEAB2EA06FFED75C0');
INSERT INTO "entry" VALUES(5,X'7F4CD02FF801476DB9D06E9A38E052BD','2026-03-12',NULL,'2026-03-14T18:05:00Z','ida','reading',2,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,3.5,8.0,NULL,NULL,'{"says":{"method":"aspiration"},"typed":{"ph":"3.5","free_so2":"8","method":"aspiration"}}',X'72008E72E1C8A79BDFE87EAAE9A9F01C');
INSERT INTO "entry" VALUES(6,X'1318B6B79B664E1BB8DE985D53F2FB8B','2026-02-12',NULL,'2026-03-14T18:05:00Z','ida','wine',3,NULL,NULL,NULL,NULL,23.5,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,'{"says":{"name":"Hillside","style":"dry_red","finished":true,"malolactic":"running","alcohol":13.0},"typed":{"name":"Hillside","style":"dry_red","volume":"23.5","finished":"yes","malolactic":"running","alcohol":"13"}}',X'DE8A5E377F71189A47004AF28DC74B47');
INSERT INTO "entry" VALUES(7,X'A3D5F97603D04E6FA77CEED9E6C98BB8','2026-03-13',NULL,'2026-03-14T18:05:00Z','ida','note',3,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,'{"says":{"text":"rises slowly ô"},"typed":{"text":"rises slowly ô"}}',X'DD7CC64950D47C8011C59567D5C7EAEC');
INSERT INTO "entry" VALUES(8,X'E6E62B5FCE2E4EB681399D67B22FED08','2026-03-14',NULL,'2026-03-14T18:05:00Z','ida','rebuild',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,'{"says":{"version":3}}',X'86CD4C2F6D92BDFA11A2652D66E91A16');
INSERT INTO "entry" VALUES(9,X'0327D0677C914A55A673CE1EA67BFCB8','2026-03-14',NULL,'2026-03-14T19:00:00Z','ida','rebuild',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,'{"says":{"version":3}}',X'F3163E0340A8818307049E8C181E0D84');
CREATE TABLE entry_vessel (
    vessel INTEGER NOT NULL REFERENCES vessel (id) DEFERRABLE INITIALLY DEFERRED,
    seq INTEGER NOT NULL REFERENCES entry (seq),
    PRIMARY KEY (vessel, seq)
) STRICT, WITHOUT ROWID;
INSERT INTO "entry_vessel" VALUES(0,1);
INSERT INTO "entry_vessel" VALUES(2,2);
INSERT INTO "entry_vessel" VALUES(3,3);
INSERT INTO "entry_vessel" VALUES(2,4);
INSERT INTO "entry_vessel" VALUES(2,5);
INSERT INTO "entry_vessel" VALUES(3,6);
INSERT INTO "entry_vessel" VALUES(3,7);
INSERT INTO "entry_vessel" VALUES(0,8);
INSERT INTO "entry_vessel" VALUES(0,9);
CREATE TABLE filling (
    vessel INTEGER PRIMARY KEY REFERENCES vessel (id),
    name TEXT NOT NULL,
    name_key TEXT NOT NULL,
    place TEXT NOT NULL,
    capacity REAL CHECK (capacity BETWEEN 0 AND 1e9),
    material TEXT NOT NULL,
    retired INTEGER NOT NULL CHECK (retired IN (0, 1)),
    filling INTEGER REFERENCES entry (seq),
    wine TEXT,
    wine_key TEXT,
    style TEXT,
    colour TEXT,
    stage TEXT,
    volume REAL CHECK (volume BETWEEN -1e9 AND 1e9),
    ph REAL CHECK (ph BETWEEN 0 AND 14),
    free_so2 REAL CHECK (free_so2 BETWEEN -1e9 AND 1e9),
    free_loss REAL CHECK (free_loss BETWEEN 0 AND 1e9),
    free_since TEXT CHECK (free_since GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    read_on TEXT CHECK (read_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    free_read REAL CHECK (free_read BETWEEN -1e9 AND 1e9),
    letters TEXT CHECK (length(letters) = 5),
    air_until TEXT CHECK (air_until GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    next_show TEXT CHECK (next_show GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    next_action TEXT,
    summary TEXT NOT NULL,
    head INTEGER NOT NULL REFERENCES entry (seq)
) STRICT;
INSERT INTO "filling" VALUES(2,'Demijohn 1','demijohn 1','back wall',23.0,'glass',0,4,'Terrace','terrace','dry_white','white','ageing',22.7,3.5,8.0,4.00000000000000181799e-03,'2026-03-12','2026-03-12',8.0,'~----',NULL,'2026-02-22','gravity_check','ferment finished',5);
INSERT INTO "filling" VALUES(3,'Barrel 1','barrel 1','cool room',24.0,'oak',0,6,'Hillside','hillside','dry_red','red','malolactic',23.5,NULL,NULL,NULL,NULL,NULL,NULL,'~----',NULL,'2026-02-12','gravity_check','malolactic fermentation running or awaited',7);
CREATE TABLE meta (name TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT, WITHOUT ROWID;
CREATE TABLE problem (
    vessel INTEGER REFERENCES vessel (id),
    entry INTEGER REFERENCES entry (seq),
    problem TEXT NOT NULL
) STRICT;
CREATE TABLE seal (
    vessel INTEGER PRIMARY KEY REFERENCES vessel (id),
    digest BLOB NOT NULL CHECK (length(digest) = 16)
) STRICT;
CREATE TABLE vessel (
    id INTEGER PRIMARY KEY CHECK (id >= 0),
    component INTEGER NOT NULL CHECK (component >= 0),
    head INTEGER REFERENCES entry (seq) DEFERRABLE INITIALLY DEFERRED
) STRICT;
INSERT INTO "vessel" VALUES(0,0,9);
INSERT INTO "vessel" VALUES(2,2,5);
INSERT INTO "vessel" VALUES(3,3,7);
CREATE UNIQUE INDEX _sqlite_migrations_once ON _sqlite_migrations (migration_set, name);
CREATE INDEX entry_by ON entry (by);
CREATE INDEX entry_batch ON entry (batch) WHERE batch IS NOT NULL;
CREATE INDEX vessel_component ON vessel (component);
CREATE INDEX entry_vessel_seq ON entry_vessel (seq);
CREATE TRIGGER entry_follows BEFORE INSERT ON entry
WHEN NEW.seq IS NOT (SELECT coalesce(max(seq), 0) + 1 FROM entry)
BEGIN SELECT RAISE(ABORT, 'an entry takes the number after the last one'); END;
CREATE TRIGGER entry_once BEFORE INSERT ON entry
WHEN EXISTS (SELECT 1 FROM entry WHERE key = NEW.key OR supersedes = NEW.supersedes)
BEGIN SELECT RAISE(ABORT, 'the key or the correction is in the ledger already'); END;
CREATE TRIGGER entry_stays BEFORE UPDATE ON entry
BEGIN SELECT RAISE(ABORT, 'the ledger is append-only'); END;
CREATE TRIGGER entry_kept BEFORE DELETE ON entry
BEGIN SELECT RAISE(ABORT, 'the ledger is append-only'); END;
CREATE TRIGGER entry_vessel_follows BEFORE INSERT ON entry_vessel
WHEN NEW.seq IS NOT (SELECT max(seq) FROM entry)
  OR EXISTS (SELECT 1 FROM entry_vessel WHERE vessel = NEW.vessel AND seq = NEW.seq)
BEGIN SELECT RAISE(ABORT, 'only the last entry is linked to vessels, and once'); END;
CREATE TRIGGER entry_vessel_stays BEFORE UPDATE ON entry_vessel
BEGIN SELECT RAISE(ABORT, 'the ledger is append-only'); END;
CREATE TRIGGER entry_vessel_kept BEFORE DELETE ON entry_vessel
BEGIN SELECT RAISE(ABORT, 'the ledger is append-only'); END;
CREATE INDEX action_show ON action (show);
CREATE INDEX problem_vessel ON problem (vessel);
CREATE INDEX entry_day ON entry (on_day);
CREATE INDEX filling_due ON filling (next_show IS NULL, next_show, name_key);
CREATE INDEX filling_name ON filling (name_key);
CREATE INDEX filling_wine ON filling (wine_key);
CREATE VIEW vessels AS SELECT
    vessel AS vessel_id, name AS vessel, place, material, capacity AS capacity_litres,
    wine, style, colour, stage, volume AS volume_litres, ph,
    free_so2 AS free_so2_mg_per_litre, free_since AS free_so2_of_day, read_on AS free_so2_last_read_on,
    summary, next_action, next_show AS next_action_on
FROM filling WHERE NOT retired;
CREATE VIEW due_actions AS SELECT
    filling.name AS vessel, filling.wine, action.rule AS action, json_extract(action.because, '$.task') AS task,
    action.show AS day, action.window_from AS first_day, action.window_to AS last_day, action.postponed,
    action.dose_material, action.dose_amount, action.dose_unit, action.dose_note
FROM action JOIN filling ON filling.vessel = action.vessel;
CREATE VIEW additions AS SELECT
    entry.seq AS entry, entry.on_day AS day, CASE WHEN entry.minute IS NOT NULL THEN printf('%02d:%02d', entry.minute / 60, entry.minute % 60) END AS hour, entry.vessel AS vessel_id, filling.name AS vessel,
    entry.material, entry.amount,
    CASE WHEN entry.material IN ('so2_solution', 'syrup', 'concentrate') THEN 'mL'
        WHEN entry.material IN ('juice', 'spirit', 'water') THEN 'L' ELSE 'g' END AS amount_unit,
    json_extract(entry.body, '$.says.dose') AS dose_mg_per_litre,
    entry.so2_mg AS so2_added_mg, entry.sorbate_g AS sorbate_added_grams, entry.sugar_g AS sugar_added_grams,
    json_extract(entry.body, '$.says.litres') AS volume_added_litres,
    json_extract(entry.body, '$.says.purpose') AS purpose, json_extract(entry.body, '$.says.lot') AS lot, entry.by
FROM entry LEFT JOIN filling ON filling.vessel = entry.vessel
WHERE NOT EXISTS (SELECT 1 FROM entry AS later WHERE later.supersedes = entry.seq) AND entry.kind = 'addition';
CREATE VIEW readings AS SELECT
    entry.seq AS entry, entry.on_day AS day, CASE WHEN entry.minute IS NOT NULL THEN printf('%02d:%02d', entry.minute / 60, entry.minute % 60) END AS hour, entry.vessel AS vessel_id, filling.name AS vessel,
    entry.kind, json_extract(entry.body, '$.says.method') AS method,
    entry.sg AS sg_20_20, json_extract(entry.body, '$.says.brix') AS brix,
    entry.temperature AS temperature_celsius,
    json_extract(entry.body, '$.says.sample_temperature') AS sample_temperature_celsius,
    entry.ph, json_extract(entry.body, '$.says.ta') AS titratable_acidity_g_per_litre,
    entry.free_so2 AS free_so2_mg_per_litre, entry.total_so2 AS total_so2_mg_per_litre,
    entry.malic AS malic_acid_g_per_litre, json_extract(entry.body, '$.says.va') AS volatile_acidity_g_per_litre,
    json_extract(entry.body, '$.says.alcohol') AS alcohol_percent_by_volume,
    json_extract(entry.body, '$.says.residual_sugar') AS residual_sugar_g_per_litre,
    json_extract(entry.body, '$.says.turbidity') AS turbidity_ntu,
    json_extract(entry.body, '$.says.dissolved_oxygen') AS dissolved_oxygen_mg_per_litre,
    json_extract(entry.body, '$.says.conductivity_drop') AS conductivity_drop_percent,
    json_extract(entry.body, '$.says.yan') AS yan_mg_per_litre,
    entry.volume AS volume_litres,
    json_extract(entry.body, '$.says.dip') AS dip_centimetres,
    json_extract(entry.body, '$.says.ullage') AS ullage_centimetres,
    json_extract(entry.body, '$.says.laboratory') AS laboratory,
    json_extract(entry.body, '$.says.reference') AS laboratory_reference, entry.by
FROM entry LEFT JOIN filling ON filling.vessel = entry.vessel
WHERE NOT EXISTS (SELECT 1 FROM entry AS later WHERE later.supersedes = entry.seq) AND entry.kind IN ('reading', 'series', 'lab_report');
COMMIT;
