BEGIN TRANSACTION;
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0001');
CREATE TABLE attachments (
	number INTEGER NOT NULL, 
	sha256 TEXT NOT NULL, 
	file_name TEXT NOT NULL, 
	about_kind TEXT NOT NULL, 
	about_name TEXT NOT NULL, 
	note TEXT NOT NULL, 
	added_at DOUBLE NOT NULL, 
	CONSTRAINT pk_attachments PRIMARY KEY (number), 
	CONSTRAINT fk_attachments_sha256 FOREIGN KEY(sha256) REFERENCES originals (sha256)
);
INSERT INTO "attachments" VALUES(1,'d56aaf113d66c89a302b26dcd887845026098899ec20a9167313fab997900bfa','first.csv','pull','first','the log',1.79557594719446802136e+09);
CREATE TABLE fitted (
	build TEXT NOT NULL, 
	kind TEXT NOT NULL, 
	part TEXT NOT NULL, 
	CONSTRAINT pk_fitted PRIMARY KEY (build, kind)
);
INSERT INTO "fitted" VALUES('as it came','camshaft','stock cam');
INSERT INTO "fitted" VALUES('as it came','engine','Anvil');
INSERT INTO "fitted" VALUES('cam B','camshaft','cam B');
INSERT INTO "fitted" VALUES('cam B','engine','Anvil');
CREATE TABLE history (
	revision TEXT NOT NULL, 
	at DOUBLE NOT NULL, 
	version TEXT NOT NULL, 
	CONSTRAINT pk_history PRIMARY KEY (revision)
);
INSERT INTO "history" VALUES('0001',1795575947.3149,'0.1.0');
CREATE TABLE marks (
	number INTEGER NOT NULL, 
	pull TEXT NOT NULL, 
	state TEXT NOT NULL, 
	reason TEXT NOT NULL, 
	valid_to DOUBLE, 
	"by" TEXT NOT NULL, 
	at DOUBLE NOT NULL, 
	CONSTRAINT pk_marks PRIMARY KEY (number)
);
INSERT INTO "marks" VALUES(1,'first','counts','',NULL,'',1.79557594673898220059e+09);
INSERT INTO "marks" VALUES(2,'second','counts','',NULL,'',1.79557594673898220059e+09);
INSERT INTO "marks" VALUES(3,'second#2','counts','',NULL,'',1.79557594673898220059e+09);
INSERT INTO "marks" VALUES(4,'second','set aside','ran lean',4500.0,'K. L.',1795575947.1649);
CREATE TABLE originals (
	sha256 TEXT NOT NULL, 
	file_name TEXT NOT NULL, 
	size BIGINT NOT NULL, 
	added_at DOUBLE NOT NULL, 
	CONSTRAINT pk_originals PRIMARY KEY (sha256)
);
INSERT INTO "originals" VALUES('d56aaf113d66c89a302b26dcd887845026098899ec20a9167313fab997900bfa','first.csv',160,1.79557594672757506364e+09);
INSERT INTO "originals" VALUES('25750e739777b8aca1ac7a40a1d290f36036f45bd99979cee27e7d09fecb0967','second.csv',165,1.79557594673812079429e+09);
CREATE TABLE pulls (
	number INTEGER NOT NULL, 
	name TEXT NOT NULL, 
	original TEXT NOT NULL, 
	piece INTEGER NOT NULL, 
	build TEXT NOT NULL, 
	build_version INTEGER NOT NULL, 
	session TEXT NOT NULL, 
	state TEXT NOT NULL, 
	reason TEXT NOT NULL, 
	valid_to DOUBLE, 
	started_at DOUBLE, 
	kind TEXT NOT NULL, 
	sweep_rate DOUBLE NOT NULL, 
	tested_low DOUBLE NOT NULL, 
	tested_high DOUBLE NOT NULL, 
	trace TEXT NOT NULL, 
	trace_file TEXT NOT NULL, 
	summary TEXT NOT NULL, 
	taken_at DOUBLE NOT NULL, 
	version TEXT NOT NULL, 
	papers TEXT NOT NULL, 
	CONSTRAINT pk_pulls PRIMARY KEY (number), 
	CONSTRAINT uq_pulls_name UNIQUE (name), 
	CONSTRAINT uq_pulls_original_piece UNIQUE (original, piece), 
	CONSTRAINT fk_pulls_original FOREIGN KEY(original) REFERENCES originals (sha256)
);
INSERT INTO "pulls" VALUES(1,'first','d56aaf113d66c89a302b26dcd887845026098899ec20a9167313fab997900bfa',0,'as it came',1,'tuesday','counts','',NULL,1700000100.0,'sweep',300.0,2000.0,6000.0,'a007ec7448a09d811affc955299436e1d877c8cd438b8b841f147ce6585ab6d4','000/0000001.parquet','{"peak_torque":400.7550794813707,"peak_torque_rpm":4461.538461538462}',1.79557594673898220059e+09,'0.1.0','{"channels":["rpm","torque","oil_pressure"],"choices":{"despike":"on"},"figures":{"oil_pressure":{"least":398024.4142609819,"mean":400150.5151038871,"most":402249.7678379799},"rpm":{"least":2000.0,"mean":4000.0,"most":6000.0},"torque":{"least":345.0646725751021,"mean":383.98775895846654,"most":400.7550794813707}},"findings":[{"code":"spike","remedy":"look at it","severity":"note","text":"one spike of 40 N m","where":"first"}],"first_row":3,"given":{"pressure":98500.25,"relative_humidity":0.4},"health":{"looked":["knock"],"pull":"first","references":["earlier"],"signs":[{"confirm":"listen","counts_to":3000.0,"evidence":"rises to 3.1","high":3500.0,"kind":"knock","low":3000.0,"severity":"warning","size":0.02,"unit":"1"}],"unseen":[{"kind":"reversion","missing":["boost"],"text":"no boost"}]},"last_row":42,"origin":{"detail":"utf-8, comma","format":"delimited","path":"logs/first.csv","reason":"commas","sha256":"d56aaf113d66c89a302b26dcd887845026098899ec20a9167313fab997900bfa"},"reading":{"by":null,"skip":[1,2],"smooth":0.5}}');
INSERT INTO "pulls" VALUES(2,'second','25750e739777b8aca1ac7a40a1d290f36036f45bd99979cee27e7d09fecb0967',0,'cam B',1,'tuesday','set aside','ran lean',4500.0,1700000200.0,'sweep',300.0,2000.0,6000.0,'fcbc7e07fd4f06d8e1aff5abe76dfe7f06a9afce9658e84777b8f475c182cdbd','000/0000002.parquet','{"peak_torque":400.6487977343767,"peak_torque_rpm":4666.666666666667}',1.79557594673898220059e+09,'0.1.0','{"channels":["rpm","torque","oil_pressure"],"choices":{"despike":"on"},"figures":{"oil_pressure":{"least":398055.79550813924,"mean":400051.9247560928,"most":402287.7801145715},"rpm":{"least":2000.0,"mean":4000.0,"most":6000.0},"torque":{"least":346.53650945135144,"mean":383.826010032712,"most":400.6487977343767}},"findings":[{"code":"spike","remedy":"look at it","severity":"note","text":"one spike of 40 N m","where":"second"}],"first_row":3,"given":{"pressure":98500.25,"relative_humidity":0.4},"health":{"looked":["knock"],"pull":"second","references":["earlier"],"signs":[{"confirm":"listen","counts_to":3000.0,"evidence":"rises to 3.1","high":3500.0,"kind":"knock","low":3000.0,"severity":"warning","size":0.02,"unit":"1"}],"unseen":[{"kind":"reversion","missing":["boost"],"text":"no boost"}]},"last_row":42,"origin":{"detail":"utf-8, comma","format":"delimited","path":"logs/second.csv","reason":"commas","sha256":"25750e739777b8aca1ac7a40a1d290f36036f45bd99979cee27e7d09fecb0967"},"reading":{"by":null,"skip":[1,2],"smooth":0.5}}');
INSERT INTO "pulls" VALUES(3,'second#2','25750e739777b8aca1ac7a40a1d290f36036f45bd99979cee27e7d09fecb0967',1,'cam B',1,'tuesday','counts','',NULL,1700000201.0,'sweep',300.0,2000.0,6000.0,'ed4d638e12f93c6d844b1a1325076ca67c4c4796a0d4214007edb38327d75c60','000/0000003.parquet','{"peak_torque":400.885572009244,"peak_torque_rpm":4051.2820512820513}',1.79557594673898220059e+09,'0.1.0','{"channels":["rpm","torque","oil_pressure"],"choices":{"despike":"on"},"figures":{"oil_pressure":{"least":397542.22922098107,"mean":400301.7388718159,"most":402579.8011540091},"rpm":{"least":2000.0,"mean":4000.0,"most":6000.0},"torque":{"least":348.15117941155427,"mean":383.939901893727,"most":400.885572009244}},"findings":[{"code":"spike","remedy":"look at it","severity":"note","text":"one spike of 40 N m","where":"second#2"}],"first_row":3,"given":{"pressure":98500.25,"relative_humidity":0.4},"health":{"looked":["knock"],"pull":"second#2","references":["earlier"],"signs":[{"confirm":"listen","counts_to":3000.0,"evidence":"rises to 3.1","high":3500.0,"kind":"knock","low":3000.0,"severity":"warning","size":0.02,"unit":"1"}],"unseen":[{"kind":"reversion","missing":["boost"],"text":"no boost"}]},"last_row":42,"origin":{"detail":"utf-8, comma","format":"delimited","path":"logs/second.csv","reason":"commas","sha256":"25750e739777b8aca1ac7a40a1d290f36036f45bd99979cee27e7d09fecb0967"},"reading":{"by":null,"skip":[1,2],"smooth":0.5}}');
CREATE TABLE remarks (
	number INTEGER NOT NULL, 
	about_kind TEXT NOT NULL, 
	about_name TEXT NOT NULL, 
	text TEXT NOT NULL, 
	"by" TEXT NOT NULL, 
	added_at DOUBLE NOT NULL, 
	CONSTRAINT pk_remarks PRIMARY KEY (number)
);
INSERT INTO "remarks" VALUES(1,'build','cam B','louder','',1.79557594719958066938e+09);
CREATE TABLE results (
	name TEXT NOT NULL, 
	kind TEXT NOT NULL, 
	request TEXT NOT NULL, 
	traces TEXT NOT NULL, 
	sheets TEXT NOT NULL, 
	result TEXT NOT NULL, 
	version TEXT NOT NULL, 
	machine TEXT NOT NULL, 
	made_at DOUBLE NOT NULL, 
	CONSTRAINT pk_results PRIMARY KEY (name)
);
INSERT INTO "results" VALUES('first result','comparison','{"band":[1.0,2.0]}','{}','{}','{}','0.1.0','any',1.0);
CREATE TABLE settings (
	"key" TEXT NOT NULL, 
	value TEXT NOT NULL, 
	CONSTRAINT pk_settings PRIMARY KEY ("key")
);
INSERT INTO "settings" VALUES('units','us');
CREATE TABLE sheets (
	kind TEXT NOT NULL, 
	name TEXT NOT NULL, 
	version INTEGER NOT NULL, 
	body TEXT NOT NULL, 
	added_at DOUBLE NOT NULL, 
	CONSTRAINT pk_sheets PRIMARY KEY (kind, name, version)
);
INSERT INTO "sheets" VALUES('engine','Anvil',1,'{"bore":"4.00 in","cylinders":8}',1.79557594665078043942e+09);
INSERT INTO "sheets" VALUES('part','stock cam',1,'{"kind":"camshaft","lift":"0.420 in"}',1.79557594665078043942e+09);
INSERT INTO "sheets" VALUES('build','as it came',1,'{"engine":"Anvil","parts":{"camshaft":"stock cam"},"settings":{"spark":"32 deg"}}',1.79557594665078043942e+09);
INSERT INTO "sheets" VALUES('build','cam B',1,'{"engine":"Anvil","parts":{"camshaft":"cam B"},"reference":"as it came"}',1.79557594665078043942e+09);
INSERT INTO "sheets" VALUES('session','tuesday',1,'{"brake":"water brake","operator":"K. L."}',1.79557594665078043942e+09);
CREATE INDEX ix_fitted_part ON fitted (part);
CREATE INDEX ix_pulls_build ON pulls (build);
CREATE INDEX ix_pulls_started_at ON pulls (started_at);
CREATE INDEX ix_marks_pull ON marks (pull);
COMMIT;
