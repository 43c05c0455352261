SET statement_timeout = 0;
SET lock_timeout = 0;
SET idle_in_transaction_session_timeout = 0;
SET client_encoding = 'UTF8';
SET standard_conforming_strings = on;
SELECT pg_catalog.set_config('search_path', '', false);
SET check_function_bodies = false;
SET xmloption = content;
SET client_min_messages = warning;
SET row_security = off;
CREATE FUNCTION public.refuse_change() RETURNS trigger
    LANGUAGE plpgsql
    AS $$ BEGIN RAISE EXCEPTION 'rows of % are never changed', TG_TABLE_NAME USING ERRCODE = 'integrity_constraint_violation'; END $$;
CREATE FUNCTION public.refuse_delete_when_signed() RETURNS trigger
    LANGUAGE plpgsql
    AS $$ BEGIN IF EXISTS (SELECT 1 FROM signed_note WHERE signed_note.visit_id = OLD.visit_id) THEN RAISE EXCEPTION 'rows of % are never changed', TG_TABLE_NAME USING ERRCODE = 'integrity_constraint_violation'; END IF; RETURN OLD; END $$;
CREATE FUNCTION public.refuse_insert_when_signed() RETURNS trigger
    LANGUAGE plpgsql
    AS $$ BEGIN IF EXISTS (SELECT 1 FROM signed_note WHERE signed_note.visit_id = NEW.visit_id) THEN RAISE EXCEPTION 'rows of % are never changed', TG_TABLE_NAME USING ERRCODE = 'integrity_constraint_violation'; END IF; RETURN NEW; END $$;
SET default_tablespace = '';
SET default_table_access_method = heap;
CREATE TABLE public.addendum (
    id character varying(36) NOT NULL,
    note_id character varying(36) NOT NULL,
    by character varying(200) NOT NULL,
    at timestamp with time zone NOT NULL,
    text text NOT NULL
);
CREATE TABLE public.alembic_version (
    version_num character varying(32) NOT NULL
);
CREATE TABLE public.audit (
    number integer NOT NULL,
    at timestamp with time zone NOT NULL,
    who character varying(200) NOT NULL,
    act character varying(40) NOT NULL,
    person_id character varying(36),
    visit_id character varying(36),
    detail text NOT NULL
);
CREATE SEQUENCE public.audit_number_seq
    AS integer
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1;
ALTER SEQUENCE public.audit_number_seq OWNED BY public.audit.number;
CREATE TABLE public.entry (
    id character varying(36) NOT NULL,
    visit_id character varying(36) NOT NULL,
    sequence integer NOT NULL,
    kind character varying(12) NOT NULL,
    recorded_at timestamp with time zone NOT NULL,
    supersedes character varying(36),
    retracts character varying(36),
    procedure character varying(60),
    side character varying(5),
    level character varying(4),
    mobility integer,
    end_feel character varying(20),
    value double precision,
    unit character varying(8),
    other double precision,
    pain double precision,
    pain_onset double precision,
    resistance_onset double precision,
    familiar boolean,
    result character varying(12),
    apprehension boolean,
    strength integer,
    note text,
    technique text,
    dose text,
    CONSTRAINT ck_entry_end_feel CHECK (((end_feel IS NULL) OR ((end_feel)::text = ANY (ARRAY[('soft_apposition'::character varying)::text, ('firm_capsular'::character varying)::text, ('firm_muscular'::character varying)::text, ('firm_ligament'::character varying)::text, ('hard_bone'::character varying)::text, ('spasm'::character varying)::text, ('empty'::character varying)::text, ('springy_block'::character varying)::text, ('loose'::character varying)::text, ('boggy'::character varying)::text, ('early_capsular'::character varying)::text])))),
    CONSTRAINT ck_entry_kind CHECK (((kind)::text = ANY (ARRAY[('finding'::character varying)::text, ('retest'::character varying)::text, ('treatment'::character varying)::text, ('retraction'::character varying)::text]))),
    CONSTRAINT ck_entry_mobility CHECK (((mobility IS NULL) OR ((mobility >= 0) AND (mobility <= 6)))),
    CONSTRAINT ck_entry_pain CHECK (((pain IS NULL) OR ((pain >= (0)::double precision) AND (pain <= (10)::double precision)))),
    CONSTRAINT ck_entry_result CHECK (((result IS NULL) OR ((result)::text = ANY (ARRAY[('positive'::character varying)::text, ('negative'::character varying)::text, ('unclear'::character varying)::text, ('normal'::character varying)::text, ('reduced'::character varying)::text, ('absent'::character varying)::text, ('increased'::character varying)::text, ('not_done'::character varying)::text])))),
    CONSTRAINT ck_entry_shape CHECK (((((kind)::text = 'retraction'::text) = (retracts IS NOT NULL)) AND (((kind)::text = 'treatment'::text) = (technique IS NOT NULL)) AND (((kind)::text = ANY (ARRAY[('finding'::character varying)::text, ('retest'::character varying)::text])) = (procedure IS NOT NULL)))),
    CONSTRAINT ck_entry_side CHECK (((side IS NULL) OR ((side)::text = ANY (ARRAY[('right'::character varying)::text, ('left'::character varying)::text])))),
    CONSTRAINT ck_entry_strength CHECK (((strength IS NULL) OR ((strength >= 0) AND (strength <= 5)))),
    CONSTRAINT ck_entry_unit CHECK (((unit IS NULL) OR ((unit)::text = ANY ((ARRAY['deg'::character varying, 'N'::character varying, 'mm'::character varying, 'cm'::character varying, 's'::character varying, 'grade'::character varying, 'mmHg'::character varying, '/min'::character varying, '%'::character varying, 'kg'::character varying, 'level'::character varying])::text[]))))
);
CREATE TABLE public.episode (
    id character varying(36) NOT NULL,
    person_id character varying(36) NOT NULL,
    title character varying(300) NOT NULL,
    side character varying(5),
    onset character varying(10),
    weeks double precision,
    irritability character varying(10),
    areas json NOT NULL,
    story text NOT NULL,
    opened_at timestamp with time zone NOT NULL,
    CONSTRAINT ck_episode_irritability CHECK (((irritability IS NULL) OR ((irritability)::text = ANY (ARRAY[('low'::character varying)::text, ('moderate'::character varying)::text, ('high'::character varying)::text])))),
    CONSTRAINT ck_episode_onset CHECK (((onset IS NULL) OR ((onset)::text = ANY (ARRAY[('trauma'::character varying)::text, ('sudden'::character varying)::text, ('gradual'::character varying)::text, ('overuse'::character varying)::text, ('unknown'::character varying)::text])))),
    CONSTRAINT ck_episode_side CHECK (((side IS NULL) OR ((side)::text = ANY (ARRAY[('right'::character varying)::text, ('left'::character varying)::text]))))
);
CREATE TABLE public.person (
    id character varying(36) NOT NULL,
    label character varying(200) NOT NULL,
    age integer,
    sex character varying(10),
    dominant character varying(5),
    invented boolean NOT NULL,
    created_at timestamp with time zone NOT NULL,
    CONSTRAINT ck_person_dominant CHECK (((dominant IS NULL) OR ((dominant)::text = ANY (ARRAY[('right'::character varying)::text, ('left'::character varying)::text])))),
    CONSTRAINT ck_person_sex CHECK (((sex IS NULL) OR ((sex)::text = ANY (ARRAY[('female'::character varying)::text, ('male'::character varying)::text, ('other'::character varying)::text]))))
);
CREATE TABLE public.screen_answer (
    number integer NOT NULL,
    visit_id character varying(36) NOT NULL,
    cue character varying(60) NOT NULL,
    answer boolean,
    answered_at timestamp with time zone NOT NULL
);
CREATE SEQUENCE public.screen_answer_number_seq
    AS integer
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1;
ALTER SEQUENCE public.screen_answer_number_seq OWNED BY public.screen_answer.number;
CREATE TABLE public.signed_note (
    id character varying(36) NOT NULL,
    visit_id character varying(36) NOT NULL,
    signed_by character varying(200) NOT NULL,
    signed_at timestamp with time zone NOT NULL,
    case_text text NOT NULL,
    note json NOT NULL,
    release character varying(64) NOT NULL,
    program_version character varying(40) NOT NULL
);
CREATE TABLE public.turn (
    number integer NOT NULL,
    visit_id character varying(36) NOT NULL,
    "position" character varying(12) NOT NULL,
    at timestamp with time zone NOT NULL,
    CONSTRAINT ck_turn_position CHECK ((("position" IS NULL) OR (("position")::text = ANY (ARRAY[('standing'::character varying)::text, ('sitting'::character varying)::text, ('side_lying'::character varying)::text, ('supine'::character varying)::text, ('prone'::character varying)::text]))))
);
CREATE SEQUENCE public.turn_number_seq
    AS integer
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1;
ALTER SEQUENCE public.turn_number_seq OWNED BY public.turn.number;
CREATE TABLE public.verdict_override (
    number integer NOT NULL,
    visit_id character varying(36) NOT NULL,
    urgency character varying(12) NOT NULL,
    flags json NOT NULL,
    reason text NOT NULL,
    by character varying(200) NOT NULL,
    at timestamp with time zone NOT NULL
);
CREATE SEQUENCE public.verdict_override_number_seq
    AS integer
    START WITH 1
    INCREMENT BY 1
    NO MINVALUE
    NO MAXVALUE
    CACHE 1;
ALTER SEQUENCE public.verdict_override_number_seq OWNED BY public.verdict_override.number;
CREATE TABLE public.visit (
    id character varying(36) NOT NULL,
    episode_id character varying(36) NOT NULL,
    opened_at timestamp with time zone NOT NULL,
    "position" character varying(12) NOT NULL,
    CONSTRAINT ck_visit_position CHECK ((("position" IS NULL) OR (("position")::text = ANY (ARRAY[('standing'::character varying)::text, ('sitting'::character varying)::text, ('side_lying'::character varying)::text, ('supine'::character varying)::text, ('prone'::character varying)::text]))))
);
ALTER TABLE ONLY public.audit ALTER COLUMN number SET DEFAULT nextval('public.audit_number_seq'::regclass);
ALTER TABLE ONLY public.screen_answer ALTER COLUMN number SET DEFAULT nextval('public.screen_answer_number_seq'::regclass);
ALTER TABLE ONLY public.turn ALTER COLUMN number SET DEFAULT nextval('public.turn_number_seq'::regclass);
ALTER TABLE ONLY public.verdict_override ALTER COLUMN number SET DEFAULT nextval('public.verdict_override_number_seq'::regclass);
INSERT INTO public.addendum VALUES ('c2185d20-23e2-4be5-80bd-de9426f542c6', '257991a6-5043-4ad4-91ef-101ebc02661b', 'A. Therapist', '2026-11-25 09:00:34+00', 'Letter sent.');
INSERT INTO public.alembic_version VALUES ('0004');
INSERT INTO public.audit VALUES (1, '2026-11-25 09:00:01+00', 'therapist', 'import case', 'bc20a225-e50d-45cf-8c69-7a1ce7ceea7c', '5e8cd086-9e94-45f6-8864-fa5d8b1cdbf0', '');
INSERT INTO public.audit VALUES (2, '2026-11-25 09:00:03+00', 'therapist', 'new person', '86b20f23-00fc-4777-a687-62b6ff663a05', NULL, '');
INSERT INTO public.audit VALUES (3, '2026-11-25 09:00:05+00', 'therapist', 'open episode', '86b20f23-00fc-4777-a687-62b6ff663a05', NULL, '');
INSERT INTO public.audit VALUES (4, '2026-11-25 09:00:07+00', 'therapist', 'open visit', '86b20f23-00fc-4777-a687-62b6ff663a05', '2337a354-b023-44a4-b5b2-4d8dcefc129e', '');
INSERT INTO public.audit VALUES (5, '2026-11-25 09:00:08+00', 'therapist', 'screen', '86b20f23-00fc-4777-a687-62b6ff663a05', '2337a354-b023-44a4-b5b2-4d8dcefc129e', '');
INSERT INTO public.audit VALUES (6, '2026-11-25 09:00:10+00', 'therapist', 'screen', '86b20f23-00fc-4777-a687-62b6ff663a05', '2337a354-b023-44a4-b5b2-4d8dcefc129e', '');
INSERT INTO public.audit VALUES (7, '2026-11-25 09:00:12+00', 'therapist', 'record finding', '86b20f23-00fc-4777-a687-62b6ff663a05', '2337a354-b023-44a4-b5b2-4d8dcefc129e', 'gh_post');
INSERT INTO public.audit VALUES (8, '2026-11-25 09:00:14+00', 'therapist', 'record finding', '86b20f23-00fc-4777-a687-62b6ff663a05', '2337a354-b023-44a4-b5b2-4d8dcefc129e', 'gh_post');
INSERT INTO public.audit VALUES (9, '2026-11-25 09:00:16+00', 'therapist', 'record finding', '86b20f23-00fc-4777-a687-62b6ff663a05', '2337a354-b023-44a4-b5b2-4d8dcefc129e', 'gh_inf');
INSERT INTO public.audit VALUES (10, '2026-11-25 09:00:18+00', 'therapist', 'undo', '86b20f23-00fc-4777-a687-62b6ff663a05', '2337a354-b023-44a4-b5b2-4d8dcefc129e', '');
INSERT INTO public.audit VALUES (11, '2026-11-25 09:00:20+00', 'therapist', 'redo', '86b20f23-00fc-4777-a687-62b6ff663a05', '2337a354-b023-44a4-b5b2-4d8dcefc129e', '');
INSERT INTO public.audit VALUES (12, '2026-11-25 09:00:22+00', 'therapist', 'record finding', '86b20f23-00fc-4777-a687-62b6ff663a05', '2337a354-b023-44a4-b5b2-4d8dcefc129e', 'gh_ant');
INSERT INTO public.audit VALUES (13, '2026-11-25 09:00:24+00', 'therapist', 'undo', '86b20f23-00fc-4777-a687-62b6ff663a05', '2337a354-b023-44a4-b5b2-4d8dcefc129e', '');
INSERT INTO public.audit VALUES (14, '2026-11-25 09:00:26+00', 'therapist', 'override', '86b20f23-00fc-4777-a687-62b6ff663a05', '2337a354-b023-44a4-b5b2-4d8dcefc129e', 'A known lipoma, seen last week.');
INSERT INTO public.audit VALUES (15, '2026-11-25 09:00:28+00', 'therapist', 'record treatment', '86b20f23-00fc-4777-a687-62b6ff663a05', '2337a354-b023-44a4-b5b2-4d8dcefc129e', 'posterior glide');
INSERT INTO public.audit VALUES (16, '2026-11-25 09:00:30+00', 'therapist', 'record retest', '86b20f23-00fc-4777-a687-62b6ff663a05', '2337a354-b023-44a4-b5b2-4d8dcefc129e', 'gh_post');
INSERT INTO public.audit VALUES (17, '2026-11-25 09:00:33+00', 'therapist', 'sign note', '86b20f23-00fc-4777-a687-62b6ff663a05', '2337a354-b023-44a4-b5b2-4d8dcefc129e', '');
INSERT INTO public.audit VALUES (18, '2026-11-25 09:00:35+00', 'therapist', 'addendum', '86b20f23-00fc-4777-a687-62b6ff663a05', '2337a354-b023-44a4-b5b2-4d8dcefc129e', '');
INSERT INTO public.audit VALUES (19, '2026-11-25 15:17:20.67876+00', 'therapist', 'list people', NULL, NULL, '2 people');
INSERT INTO public.audit VALUES (20, '2026-11-25 15:17:20.702777+00', 'therapist', 'view visit', '86b20f23-00fc-4777-a687-62b6ff663a05', '2337a354-b023-44a4-b5b2-4d8dcefc129e', '');
INSERT INTO public.audit VALUES (21, '2026-11-25 15:17:20.767214+00', 'therapist', 'view visit', 'bc20a225-e50d-45cf-8c69-7a1ce7ceea7c', '5e8cd086-9e94-45f6-8864-fa5d8b1cdbf0', '');
INSERT INTO public.audit VALUES (22, '2026-11-25 15:17:20.949727+00', 'therapist', 'turn', 'bc20a225-e50d-45cf-8c69-7a1ce7ceea7c', '5e8cd086-9e94-45f6-8864-fa5d8b1cdbf0', 'side_lying');
INSERT INTO public.entry VALUES ('8954a773-17d1-4176-9fb4-bab70185712b', '5e8cd086-9e94-45f6-8864-fa5d8b1cdbf0', 1, 'finding', '2026-11-25 09:00:01+00', NULL, NULL, 'act_flexion', 'right', NULL, NULL, NULL, 125, 'deg', 165, 5, 100, NULL, true, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('6265fb60-3f30-460b-8e2d-a4380bc4a43a', '5e8cd086-9e94-45f6-8864-fa5d8b1cdbf0', 2, 'finding', '2026-11-25 09:00:01+00', NULL, NULL, 'act_abduction', 'right', NULL, NULL, NULL, 100, 'deg', 170, 6, 80, NULL, true, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('2cc22496-1e8d-4e21-9ceb-2f6454d29e5c', '5e8cd086-9e94-45f6-8864-fa5d8b1cdbf0', 3, 'finding', '2026-11-25 09:00:01+00', NULL, NULL, 'act_hbb', 'right', NULL, NULL, NULL, NULL, NULL, NULL, 5, NULL, NULL, true, 'unclear', NULL, NULL, 'reaches the buttock, other side T7', NULL, NULL);
INSERT INTO public.entry VALUES ('bf7c084b-a956-4710-a9fd-057051587d06', '5e8cd086-9e94-45f6-8864-fa5d8b1cdbf0', 4, 'finding', '2026-11-25 09:00:01+00', NULL, NULL, 'gh_er_0', 'right', NULL, NULL, 'early_capsular', 35, 'deg', 65, 5, NULL, NULL, true, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('95195a76-96f6-418c-a307-31b265f8b0d0', '5e8cd086-9e94-45f6-8864-fa5d8b1cdbf0', 5, 'finding', '2026-11-25 09:00:01+00', NULL, NULL, 'gh_er_90', 'right', NULL, NULL, 'early_capsular', 50, 'deg', 90, 5, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('8947029e-01ca-48c1-bdc9-236c617a646e', '5e8cd086-9e94-45f6-8864-fa5d8b1cdbf0', 6, 'finding', '2026-11-25 09:00:01+00', NULL, NULL, 'gh_ir_90', 'right', NULL, NULL, 'early_capsular', 25, 'deg', 60, 4, NULL, NULL, true, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('69b2c1e3-6317-4bed-9f9a-49d0b5f37bfe', '5e8cd086-9e94-45f6-8864-fa5d8b1cdbf0', 7, 'finding', '2026-11-25 09:00:01+00', NULL, NULL, 'gh_hadd', 'right', NULL, NULL, 'firm_capsular', 25, 'deg', 40, 3, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('6c630747-106e-4b01-8c29-806d437482b2', '5e8cd086-9e94-45f6-8864-fa5d8b1cdbf0', 8, 'finding', '2026-11-25 09:00:01+00', NULL, NULL, 'gh_post', 'right', NULL, 2, 'firm_capsular', NULL, NULL, NULL, 4, NULL, NULL, true, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('4c86ee2b-8e62-4b3e-99ef-98ff821b8061', '5e8cd086-9e94-45f6-8864-fa5d8b1cdbf0', 9, 'finding', '2026-11-25 09:00:01+00', NULL, NULL, 'gh_post', 'left', NULL, 3, NULL, NULL, NULL, NULL, 0, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('47a769d4-835c-4f88-b321-b20f575206a7', '5e8cd086-9e94-45f6-8864-fa5d8b1cdbf0', 10, 'finding', '2026-11-25 09:00:01+00', NULL, NULL, 'gh_inf', 'right', NULL, 2, 'firm_capsular', NULL, NULL, NULL, 3, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('98a9a078-bada-41bd-95e9-1dc3b18c9b5f', '5e8cd086-9e94-45f6-8864-fa5d8b1cdbf0', 11, 'finding', '2026-11-25 09:00:01+00', NULL, NULL, 'gh_ant', 'right', NULL, 2, 'firm_capsular', NULL, NULL, NULL, 2, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('9796fe97-a965-4994-a991-40d2ea59cbcc', '5e8cd086-9e94-45f6-8864-fa5d8b1cdbf0', 12, 'finding', '2026-11-25 09:00:01+00', NULL, NULL, 'gh_ant', 'left', NULL, 3, NULL, NULL, NULL, NULL, 0, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('664a0055-a5f1-4cf8-98ae-9fd20f03bcd3', '5e8cd086-9e94-45f6-8864-fa5d8b1cdbf0', 13, 'finding', '2026-11-25 09:00:01+00', NULL, NULL, 'th_pa_central', NULL, 'T4', 2, NULL, NULL, NULL, NULL, 2, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('b967526d-ac1f-486b-82f8-2517b682b16e', '5e8cd086-9e94-45f6-8864-fa5d8b1cdbf0', 14, 'finding', '2026-11-25 09:00:01+00', NULL, NULL, 'th_pa_central', NULL, 'T5', 1, 'firm_capsular', NULL, NULL, NULL, 4, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('d418331f-1663-49ee-af06-f7873204a74a', '5e8cd086-9e94-45f6-8864-fa5d8b1cdbf0', 15, 'finding', '2026-11-25 09:00:01+00', NULL, NULL, 'th_pa_central', NULL, 'T6', 2, NULL, NULL, NULL, NULL, 3, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('b529bf9d-656e-483e-9b06-65720a4e7cc0', '5e8cd086-9e94-45f6-8864-fa5d8b1cdbf0', 16, 'finding', '2026-11-25 09:00:01+00', NULL, NULL, 'ct_pa', NULL, 'T2', 3, NULL, NULL, NULL, NULL, 1, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('2303c241-1e93-4870-8adb-37d95ec0ffb7', '5e8cd086-9e94-45f6-8864-fa5d8b1cdbf0', 17, 'finding', '2026-11-25 09:00:01+00', NULL, NULL, 'ac_ant', 'right', NULL, 3, NULL, NULL, NULL, NULL, 0, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('3f4acc4a-0658-48b5-8491-1f8a5f1db08b', '5e8cd086-9e94-45f6-8864-fa5d8b1cdbf0', 18, 'finding', '2026-11-25 09:00:01+00', NULL, NULL, 'sc_inf_lat', 'right', NULL, 3, NULL, NULL, NULL, NULL, 0, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('73518d78-b1b5-45f3-b46f-81f84478896f', '5e8cd086-9e94-45f6-8864-fa5d8b1cdbf0', 19, 'finding', '2026-11-25 09:00:01+00', NULL, NULL, 'er_lag', 'right', NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, 'negative', NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('ba9c3538-6f05-485c-99f4-fd153f3d6c05', '5e8cd086-9e94-45f6-8864-fa5d8b1cdbf0', 20, 'finding', '2026-11-25 09:00:01+00', NULL, NULL, 'empty_can', 'right', NULL, NULL, NULL, NULL, NULL, NULL, 4, NULL, NULL, NULL, 'unclear', NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('29c383fe-59c6-4a8e-9c33-428efb2a490f', '5e8cd086-9e94-45f6-8864-fa5d8b1cdbf0', 21, 'finding', '2026-11-25 09:00:01+00', NULL, NULL, 'iso_er', 'right', NULL, NULL, NULL, NULL, NULL, NULL, 2, NULL, NULL, NULL, NULL, NULL, 5, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('9d5b5ea4-73f8-473b-908a-ccdad3ad4f94', '5e8cd086-9e94-45f6-8864-fa5d8b1cdbf0', 22, 'treatment', '2026-11-25 09:00:01+00', NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, '', 'posterior glide in side-lying', 'grade III 3 x 60 s');
INSERT INTO public.entry VALUES ('9fa5f306-668e-45f6-93c4-693de36f70b3', '5e8cd086-9e94-45f6-8864-fa5d8b1cdbf0', 23, 'treatment', '2026-11-25 09:00:01+00', NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, '', 'thoracic extension glide T5', 'grade III 2 x 60 s');
INSERT INTO public.entry VALUES ('fd6d7cf7-e3a0-4854-80b5-926039ea718e', '5e8cd086-9e94-45f6-8864-fa5d8b1cdbf0', 24, 'retest', '2026-11-25 09:00:01+00', NULL, NULL, 'gh_er_0', 'right', NULL, NULL, NULL, 43, 'deg', 65, 3, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('a0ef0f09-a7aa-49e0-befc-165d3accee8d', '5e8cd086-9e94-45f6-8864-fa5d8b1cdbf0', 25, 'retest', '2026-11-25 09:00:01+00', NULL, NULL, 'act_abduction', 'right', NULL, NULL, NULL, 128, 'deg', 170, 4, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('0286b387-cc7f-48f3-be32-4fd8f8637573', '5e8cd086-9e94-45f6-8864-fa5d8b1cdbf0', 26, 'retest', '2026-11-25 09:00:01+00', NULL, NULL, 'gh_post', 'right', NULL, 2, NULL, NULL, NULL, NULL, 3, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('9de0c95b-5477-44dd-be9e-fea7b6731ef6', '2337a354-b023-44a4-b5b2-4d8dcefc129e', 1, 'finding', '2026-11-25 09:00:13+00', NULL, NULL, 'gh_post', 'left', NULL, 2, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('d43ba494-62fd-44d7-9d66-56f81f5f71f3', '2337a354-b023-44a4-b5b2-4d8dcefc129e', 2, 'finding', '2026-11-25 09:00:15+00', '9de0c95b-5477-44dd-be9e-fea7b6731ef6', NULL, 'gh_post', 'left', NULL, 3, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('f09a3954-e708-4cd1-8ffb-8e4714603972', '2337a354-b023-44a4-b5b2-4d8dcefc129e', 3, 'finding', '2026-11-25 09:00:17+00', NULL, NULL, 'gh_inf', 'left', NULL, 2, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('b95efe31-7d93-4efe-9049-6b99e24fb45b', '2337a354-b023-44a4-b5b2-4d8dcefc129e', 4, 'retraction', '2026-11-25 09:00:19+00', NULL, 'f09a3954-e708-4cd1-8ffb-8e4714603972', NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('b94b7c6d-25d7-4706-80d2-bccad15fa234', '2337a354-b023-44a4-b5b2-4d8dcefc129e', 5, 'retraction', '2026-11-25 09:00:21+00', NULL, 'b95efe31-7d93-4efe-9049-6b99e24fb45b', NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('73255a14-660a-453b-a6ce-33bff5ca35ca', '2337a354-b023-44a4-b5b2-4d8dcefc129e', 6, 'finding', '2026-11-25 09:00:23+00', NULL, NULL, 'gh_ant', 'left', NULL, 3, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('0795ee7d-0700-421d-b1c0-1a91725c2404', '2337a354-b023-44a4-b5b2-4d8dcefc129e', 7, 'retraction', '2026-11-25 09:00:25+00', NULL, '73255a14-660a-453b-a6ce-33bff5ca35ca', NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.entry VALUES ('9fbe486e-209d-47fd-ac61-1cb0759755ee', '2337a354-b023-44a4-b5b2-4d8dcefc129e', 8, 'treatment', '2026-11-25 09:00:29+00', NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, 'well borne', 'posterior glide', 'grade 3, 2 x 60 s');
INSERT INTO public.entry VALUES ('a1f11a33-5e3b-47a5-9536-4397fe6118ca', '2337a354-b023-44a4-b5b2-4d8dcefc129e', 9, 'retest', '2026-11-25 09:00:31+00', NULL, NULL, 'gh_post', 'left', NULL, 3, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL);
INSERT INTO public.episode VALUES ('f17282c0-3c6a-4f10-aef0-1885caeab6e3', 'bc20a225-e50d-45cf-8c69-7a1ce7ceea7c', 'Sore, stiff right shoulder, first visit', 'right', 'gradual', 16, 'moderate', '["lateral", "deep", "interscapular"]', 'Reaching overhead, fastening at the back and lying on the right hurt. Eases with rest in an hour. No injury.', '2026-11-25 09:00:01+00');
INSERT INTO public.episode VALUES ('abf9513c-f0ad-4eeb-bc40-7cd07fedfbfd', '86b20f23-00fc-4777-a687-62b6ff663a05', 'left shoulder', 'left', 'gradual', 8, 'low', '["lateral"]', 'Invented for the tests; it''s "quoted".', '2026-11-25 09:00:04+00');
INSERT INTO public.person VALUES ('bc20a225-e50d-45cf-8c69-7a1ce7ceea7c', 'Sore, stiff right shoulder, first visit', 54, 'female', 'right', true, '2026-11-25 09:00:01+00');
INSERT INTO public.person VALUES ('86b20f23-00fc-4777-a687-62b6ff663a05', 'Invented, signed', 52, 'male', 'left', true, '2026-11-25 09:00:02+00');
INSERT INTO public.screen_answer VALUES (1, '5e8cd086-9e94-45f6-8864-fa5d8b1cdbf0', 'trauma_recent', false, '2026-11-25 09:00:01+00');
INSERT INTO public.screen_answer VALUES (2, '5e8cd086-9e94-45f6-8864-fa5d8b1cdbf0', 'fever_unwell', false, '2026-11-25 09:00:01+00');
INSERT INTO public.screen_answer VALUES (3, '5e8cd086-9e94-45f6-8864-fa5d8b1cdbf0', 'cancer_history', false, '2026-11-25 09:00:01+00');
INSERT INTO public.screen_answer VALUES (4, '5e8cd086-9e94-45f6-8864-fa5d8b1cdbf0', 'night_pain_unremitting', false, '2026-11-25 09:00:01+00');
INSERT INTO public.screen_answer VALUES (5, '5e8cd086-9e94-45f6-8864-fa5d8b1cdbf0', 'weight_loss_fatigue', false, '2026-11-25 09:00:01+00');
INSERT INTO public.screen_answer VALUES (6, '5e8cd086-9e94-45f6-8864-fa5d8b1cdbf0', 'stiff_at_once', false, '2026-11-25 09:00:01+00');
INSERT INTO public.screen_answer VALUES (7, '5e8cd086-9e94-45f6-8864-fa5d8b1cdbf0', 'chest_tight', false, '2026-11-25 09:00:01+00');
INSERT INTO public.screen_answer VALUES (8, '2337a354-b023-44a4-b5b2-4d8dcefc129e', 'fever_unwell', false, '2026-11-25 09:00:09+00');
INSERT INTO public.screen_answer VALUES (9, '2337a354-b023-44a4-b5b2-4d8dcefc129e', 'new_mass', true, '2026-11-25 09:00:09+00');
INSERT INTO public.screen_answer VALUES (10, '2337a354-b023-44a4-b5b2-4d8dcefc129e', 'fever_unwell', NULL, '2026-11-25 09:00:11+00');
INSERT INTO public.signed_note VALUES ('257991a6-5043-4ad4-91ef-101ebc02661b', '2337a354-b023-44a4-b5b2-4d8dcefc129e', 'A. Therapist', '2026-11-25 09:00:32+00', 'title: left shoulder
invented: yes
age: 52
sex: male
dominant: left
side: left
onset: gradual
weeks: 8
irritability: low
areas: lateral
story: Invented for the tests; it''s "quoted".
screen:
yes: new_mass
gh_post left mobility 3
gh_inf left mobility 2
treated: posterior glide, grade 3, 2 x 60 s; well borne
retest: gh_post left mobility 3
', '{"form": 1, "title": "Shoulder girdle: examination note", "subtitle": "Invented, signed \u00b7 left shoulder girdle \u00b7 INVENTED EXAMPLE, no real person", "status": "Signed by A. Therapist, 2026-11-25 09:00 UTC", "signed": true, "invented": true, "sections": [{"id": "safety", "heading": "Safety", "blocks": [{"kind": "text", "text": "Safety verdict: urgent. Refer so that the person is seen within days to two weeks (local suspected-cancer or acute-shoulder route where one exists). Suspected-cancer route; no thrust or strong force near the site; explain plainly and do not reassure falsely.", "items": [], "columns": [], "rows": [], "tone": "alert", "points": [], "alt": ""}, {"kind": "text", "text": "Overridden by A. Therapist. Recorded reason: A known lipoma, seen last week.", "items": [], "columns": [], "rows": [], "tone": "alert", "points": [], "alt": ""}, {"kind": "table", "text": "", "items": [], "columns": ["Raised", "Urgency", "Because", "What to do"], "rows": [["Primary or secondary bone or soft tissue tumour [1] (read)", "urgent", "A new lump, swelling or enlarged node? (answered yes)", "Suspected-cancer route; no thrust or strong force near the site; explain plainly and do not reassure falsely."]], "tone": "plain", "points": [], "alt": ""}], "tone": "alert"}, {"id": "story", "heading": "Person and story", "blocks": [{"kind": "facts", "text": "", "items": [], "columns": [], "rows": [["Age", "52"], ["Sex", "male"], ["Dominant side", "left"], ["Side of complaint", "left"], ["Onset", "gradual, 8 weeks ago"], ["Irritability", "low"], ["Areas", "outer side of the shoulder"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "text", "text": "Invented for the tests; it''s \"quoted\".", "items": [], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}], "tone": "plain"}, {"id": "screen", "heading": "Screen", "blocks": [{"kind": "table", "text": "", "items": [], "columns": ["Precaution", "Because", "Hands", "Label"], "rows": [["Malignant or unknown bone lesion in the region [2]", "new mass (answered yes)", "Refer; benign tumours are relative; contraindicated; contraindicated", "read"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "list", "text": "Answered yes:", "items": ["A new lump, swelling or enlarged node?"], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}, {"kind": "table", "text": "", "items": [], "columns": ["Screen", "Question", "Answer"], "rows": [["Cancer", "Ever had cancer, a new lump, weight loss, or pain at night that nothing eases?", "YES"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "text", "text": "UNANSWERED: injury, infection, nerves, spinal cord, neck and head, heart and great vessels, lungs, abdomen, arm circulation, joints and inflammation, bones and medicines, looked at and felt, known before, feeling safe.", "items": [], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}, {"kind": "text", "text": "154 of 155 single screening questions are unanswered. Unanswered is not no.", "items": [], "columns": [], "rows": [], "tone": "quiet", "points": [], "alt": ""}], "tone": "plain"}, {"id": "baseline", "heading": "Baseline: active motion", "blocks": [{"kind": "text", "text": "No baseline was recorded.", "items": [], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}], "tone": "plain"}, {"id": "findings", "heading": "Findings by region", "blocks": [{"kind": "table", "text": "Glenohumeral joint", "items": [], "columns": ["Procedure", "Where", "Found"], "rows": [["Posterior glide in the resting position", "left", "3/6 normal"], ["Inferior glide in the resting position", "left", "2/6 slightly hypomobile"]], "tone": "plain", "points": [], "alt": ""}], "tone": "plain"}, {"id": "reasoning", "heading": "Reasoning", "blocks": [{"kind": "text", "text": "The safety verdict comes first; these figures do not weigh it.", "items": [], "columns": [], "rows": [], "tone": "alert", "points": [], "alt": ""}, {"kind": "chart", "text": "Probability of each contributor with its 90 % interval", "items": [], "columns": [], "rows": [], "tone": "plain", "points": [["Cuff-related pain, left", 0.6580188679245281, 0.3375755053913793, 0.9204295035654427], ["Frozen shoulder, left", 0.4635055410058448, 0.1055935369445034, 0.9192740558838122], ["Poor scapular control, left", 0.2999999999999999, 0.07416114120020054, 0.5456249767132993], ["Short pectoralis minor, left", 0.21999999999999997, 0.026577786168346922, 0.5548008483181146], ["Short levator scapulae or upper trapezius, left", 0.21999999999999997, 0.03593564993533629, 0.5148861860947825], ["Lower trapezius weakness, left", 0.19999999999999998, 0.02061490186290125, 0.5494075545009183], ["Serratus anterior weakness, left", 0.17999999999999994, 0.015062086282698612, 0.4500873453957398], ["Muscle pain about the shoulder blade, left", 0.16999999999999998, 0.046063101304565174, 0.3054889285827954]], "alt": "Probability with 90 % interval: Cuff-related pain, left 66 % (34 to 92 %); Frozen shoulder, left 46 % (11 to 92 %); Poor scapular control, left 30 % (7 to 55 %); Short pectoralis minor, left 22 % (3 to 55 %); Short levator scapulae or upper trapezius, left 22 % (4 to 51 %); Lower trapezius weakness, left 20 % (2 to 55 %); Serratus anterior weakness, left 18 % (2 to 45 %); Muscle pain about the shoulder blade, left 17 % (5 to 31 %)"}, {"kind": "table", "text": "", "items": [], "columns": ["Contributor", "Probability", "90 % interval", "Before the findings"], "rows": [["Cuff-related pain, left", "66 %", "34 % to 92 %", "66 %"], ["Frozen shoulder (global capsular contracture), left", "46 %", "11 % to 92 %", "37 %"], ["Poor scapular control, left", "30 %", "7 % to 55 %", "30 %"], ["Short pectoralis minor, left", "22 %", "3 % to 55 %", "22 %"], ["Short levator scapulae or upper trapezius, left", "22 %", "4 % to 51 %", "22 %"], ["Lower trapezius weakness, left", "20 %", "2 % to 55 %", "20 %"], ["Serratus anterior weakness, left", "18 %", "2 % to 45 %", "18 %"], ["Muscle pain about the shoulder blade, left", "17 %", "5 % to 31 %", "17 %"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "list", "text": "Cuff-related pain, left, because:", "items": ["Story: pain at the outer side: for it, +2.6 decibans (practice)"], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}, {"kind": "list", "text": "Frozen shoulder (global capsular contracture), left, because:", "items": ["Story: frozen shoulder peaks between 40 and 65; gradual onset is usual; pain at the outer side, deep, or in the upper arm: for it, +5.9 decibans (practice)", "Inferior glide in the resting position (left): grade 2, slightly hypomobile: for it, +3.9 decibans (practice [3])", "Posterior glide in the resting position (left): grade 3, normal: against it, \u22122.5 decibans (practice [3])"], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}, {"kind": "list", "text": "What would change this:", "items": ["Coracoid pressure pain compared with AC and lateral subacromial points (left) pain: frozen shoulder (global capsular contracture) would lead", "Posterior glide at 90 degrees flexion (left) hypo: frozen shoulder (global capsular contracture) would lead", "Shrug sign on active elevation (left) positive: frozen shoulder (global capsular contracture) would lead"], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}, {"kind": "text", "text": "Probabilities are conditional on the evidence of this release, which is often weak. Several contributors at once are the rule; the figures do not add up to 100 %. The interval includes the uncertainty of the evidence. No combination was left out.", "items": [], "columns": [], "rows": [], "tone": "quiet", "points": [], "alt": ""}], "tone": "plain"}, {"id": "articular", "heading": "Joint or soft tissue", "blocks": [{"kind": "text", "text": "No restricted angular motion was recorded.", "items": [], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}], "tone": "plain"}, {"id": "treatment", "heading": "Treatment tried and re-test", "blocks": [{"kind": "table", "text": "", "items": [], "columns": ["Technique", "Dose", "Response"], "rows": [["posterior glide", "grade 3, 2 x 60 s", "well borne"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "table", "text": "Re-tests", "items": [], "columns": ["Re-test", "Recorded", "Before", "After", "Verdict"], "rows": [["Posterior glide in the resting position, left", "mobility", "3/6", "3/6", "no difference"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "list", "text": "Error figures used:", "items": ["Accessory motion, 0 to 6: taken for examiner error by custom 1 grade (practice; one grade, by custom; no published smallest detectable change; manual grading) [4]. Grades by hand agree poorly; the limit of one grade is common practice, not a measured error; the error figure is practice, not read; no figure for how much change matters to people is in the evidence."], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}], "tone": "plain"}, {"id": "plan", "heading": "Plan", "blocks": [{"kind": "text", "text": "The safety verdict was overridden; its reason stands in the safety screen.", "items": [], "columns": [], "rows": [], "tone": "alert", "points": [], "alt": ""}, {"kind": "list", "text": "Not to be done:", "items": ["Hands off until cleared: Primary or secondary bone or soft tissue tumour: Upper limb neurodynamic test, median bias, Upper limb neurodynamic test, radial bias, Upper limb neurodynamic test, ulnar bias, Elevated arm stress test (hands open and close), Trapezius shrug and scapular flip sign, Bone-conduction comparison (olecranon tap, stethoscope on manubrium), Foraminal compression (side-flexion with axial load), Neck distraction, Arm-on-head relief, Thoracic extension correction with arm elevation re-test, Skin-mark flexion ratio C7 to T5, Scapular assistance during arm elevation, Scapular reposition with resisted elevation, Scapular distance to spine in three arm positions, Pectoralis minor length, Levator scapulae length, Latissimus dorsi length, Scapular hold against diagonal resistance in side-lying, AC compression (hands clasped front and back), Cross-body adduction with overpressure, Active compression test, Resisted horizontal extension at 90 degrees, Load and shift, anterior, Load and shift, posterior, Sulcus sign, neutral rotation, Sulcus sign in lateral rotation, Hyperabduction with scapula held, Anterior apprehension, Relocation, Release (surprise) test, Posterior jerk test, Posteroinferior labral load test, Posterior apprehension, Generalised laxity score (0 to 9), Passive flexion in medial rotation with scapula held, Medial rotation at 90 degrees flexion, Resisted elevation, thumb down, Resisted elevation, thumb up, Drop-arm lowering, Lateral rotation lag at the side, Lateral rotation lag at 90 degrees, Lateral rotation strength at 90 degrees scaption, Medial rotation lag (lift-off hold), Belly press, Bear hug, Shrug sign on active elevation, Resisted flexion, forearm supinated, Resisted supination with lateral rotation, Resisted elbow flexion at 120 degrees abduction, Axial load with rotation in elevation, Medial against lateral rotation strength at 90/80 degrees, Coracoid pressure pain compared with AC and lateral subacromial points, Isometric abduction at the side, Isometric lateral rotation at the side, Isometric medial rotation at the side, Isometric flexion, Isometric extension, Isometric adduction, Isometric elbow flexion and supination, Lateral rotation force by hand-held dynamometer, Medial rotation force by hand-held dynamometer, Abduction force by hand-held dynamometer, Lower trapezius strength, Middle trapezius strength, Serratus anterior strength, Rhythmic stabilisation of the GH joint in side-lying", "Hands off until cleared: Primary or secondary bone or soft tissue tumour; precaution: malignant or unknown bone lesion in the region: Neck motion with gentle overpressure, Cervical rotation then side-flexion (first-rib test), Lower neck segmental palpation C5 to C7, Segmental extension glide, bilateral, Segmental extension glide, unilateral, upper side, Segmental extension glide, unilateral, lower side, Segmental flexion glide, Segmental rotation, Segmental side-flexion, Central posteroanterior pressure, Unilateral posteroanterior pressure over the facet, Transverse pressure on the spinous process, Rib springing at the angle T3 to T7, Anteroposterior pressure at the costosternal joints, Lateral rib springing in side-lying, Passive thoracic rotation, whole region, Passive thoracic side-flexion over a roll, Thoracic distraction, Cervicothoracic extension glide, bilateral, Cervicothoracic extension glide, unilateral, Cervicothoracic flexion glide, Cervicothoracic segmental rotation, Cervicothoracic segmental side-flexion, Cervicothoracic posteroanterior pressure, Cervicothoracic transverse pressure, First-rib caudal glide, First-rib spring on breathing out, Second-rib glide, Passive scapular elevation, Passive scapular depression, Passive scapular protraction, Passive scapular retraction, Passive upward rotation, Passive downward rotation, Passive posterior tilt, Passive anterior tilt, Passive lateral (external) rotation of the blade, Passive medial (internal) rotation of the blade, Diagonal: anterior elevation, Diagonal: posterior depression, Diagonal: posterior elevation, Diagonal: anterior depression, Scapular lift from the thorax, Scapular circles, crepitus and quality, Medial clavicle inferior-lateral glide, Medial clavicle superior-medial glide, Medial clavicle anterior glide, Medial clavicle posterior glide, Posterior rotation of the clavicle with scapular depression and retraction, Anterior rotation of the clavicle with scapular protraction, Lateral traction of the clavicle, SC anterior stability stress, Costoclavicular ligament stress (girdle elevation hold), SC motion felt during passive arm elevation, Acromion anterior glide on fixed clavicle, Acromion posterior glide on fixed clavicle, Lateral clavicle inferior glide (spring), Lateral clavicle anteroposterior glide, AC distraction through the arm, Clavicle rotation on fixed scapula, Conoid ligament stress (scapula lateral rotation with clavicle held), Trapezoid ligament stress (scapula medial rotation with clavicle held), Passive GH flexion, scapula held, Passive GH abduction, scapula held, Passive lateral rotation at the side, Passive lateral rotation at 45 degrees abduction, Passive lateral rotation at 90 degrees abduction, Passive medial rotation at 90 degrees abduction, scapula held, Passive medial rotation in side-lying on the tested side, 90 degrees flexion, Passive hand behind back, Passive horizontal adduction, scapula held, Passive horizontal abduction, Passive extension, Low flexion test (medial rotation at 60 degrees flexion), Passive total elevation, girdle free, Combined end-range (abduction, rotation swept) position, Lateral rotation and abduction with scapula free then held, Contract-relax then re-measure lateral rotation and abduction, Posterior glide in the resting position, Posterior glide at 90 degrees flexion, Posterior glide in end-range abduction and lateral rotation, Anterior glide in the resting position, Anterior glide at 90 degrees abduction with lateral rotation, Inferior glide in the resting position, Inferior glide at 90 degrees abduction or end range, Longitudinal caudad along the humerus, Lateral distraction in the treatment plane, Lateral distraction in flexion, Posterior-superior and anterior-inferior diagonal glides, Compression with small glide, Capsule stress: arm neutral, lateral rotation, Capsule stress: arm neutral, medial rotation, Capsule stress: arm neutral, inferior pull, Capsule stress: 45 degrees abduction, lateral rotation, Capsule stress: 90 degrees abduction, lateral rotation, Capsule stress: 90 degrees abduction, medial rotation, Capsule stress: 90 degrees flexion, lateral rotation, Capsule stress: 90 degrees flexion, medial rotation, Capsule stress: extension, lateral rotation, Capsule stress: extension, medial rotation, Capsule stress: horizontal adduction, medial rotation"], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}, {"kind": "text", "text": "Next test: Active lateral rotation in 90 degrees abduction, left, sitting, 30 s. Tells most about frozen shoulder (global capsular contracture) and glenohumeral osteoarthritis", "items": [], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}, {"kind": "table", "text": "Rest of the examination (first 12 of 36 steps)", "items": [], "columns": ["Procedure, in order", "Where", "Position", "Time"], "rows": [["Demonstration of the person''s own limiting task", "left", "sitting", "60 s"], ["Biceps, brachioradialis, triceps reflexes", "left", "sitting", "45 s"], ["Key muscles C5 to T1", "left", "sitting", "112 s"], ["Active lateral rotation at the side", "left", "sitting", "30 s"], ["Active arm flexion", "left", "sitting", "30 s"], ["Active horizontal adduction", "left", "sitting", "30 s"], ["Active medial rotation in 90 degrees abduction", "left", "sitting", "30 s"], ["Active scapular-plane elevation, raising and lowering", "left", "sitting", "30 s"], ["Active neck motion, six directions", "central", "sitting", "60 s"], ["Serratus function (wall or couch push, winging)", "left", "sitting", "30 s"], ["Active arm abduction with arc noted", "left", "sitting", "30 s"], ["Active lateral rotation in 90 degrees abduction", "left", "sitting", "30 s"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "facts", "text": "", "items": [], "columns": [], "rows": [["Time", "19 min"], ["Changes of position", "1"], ["Left out", "168 procedures"]], "tone": "plain", "points": [], "alt": ""}], "tone": "plain"}, {"id": "cautions", "heading": "Cautions", "blocks": [{"kind": "list", "text": "", "items": ["Supports licensed clinicians and supervised students; it does not diagnose and does not decide.", "Emergency and referral rules come first. If in doubt, stop and refer.", "Thrust techniques need their own screening and the person''s consent.", "Local law, professional codes, scope of practice and data-protection rules prevail.", "Probabilities depend on evidence that is often weak; every figure says whether it was read, recalled or is common practice."], "columns": [], "rows": [], "tone": "plain", "points": [], "alt": ""}], "tone": "quiet"}, {"id": "origin", "heading": "Program and evidence", "blocks": [{"kind": "facts", "text": "", "items": [], "columns": [], "rows": [["Program", "Endfeel 0.1.0"], ["Evidence release", "ab372e0a47c4"]], "tone": "plain", "points": [], "alt": ""}, {"kind": "text", "text": "Labels: read = seen at the address given; memory = recalled, not checked; practice = common practice or judgement, no publication. Numbers in square brackets are the sources below.", "items": [], "columns": [], "rows": [], "tone": "quiet", "points": [], "alt": ""}], "tone": "quiet"}], "sources": [{"number": 1, "citation": "Primary-care red flags for the shoulder, summarising Rangan 2015 and Murphy & Bintcliffe BMJ 2023;382:p1255", "address": "https://nursing-notebook.com/simplepage.cfm?ID=x2023071084948560864&linkID=82813"}, {"number": 2, "citation": "Best-practice table: possible contraindications to manipulation or mobilisation. J Altern Complement Med 2019", "address": "https://chiro.org/Graphics_Box_RESEARCH/GRAPHICS_19/BEST_PRACTICES/Table_9.html"}, {"number": 3, "citation": "Common practice of the trade", "address": ""}, {"number": 4, "citation": "common practice of the trade, no publication", "address": ""}], "footer": "Supports licensed clinicians; does not diagnose. Emergency and referral rules come first. Local rules prevail.", "release": "ab372e0a47c4", "program_version": "0.1.0", "written_at": "2026-11-25 09:00 UTC", "language": "en"}', 'ab372e0a47c4', '0.1.0');
INSERT INTO public.turn VALUES (1, '5e8cd086-9e94-45f6-8864-fa5d8b1cdbf0', 'side_lying', '2026-11-25 15:17:20.952604+00');
INSERT INTO public.verdict_override VALUES (1, '2337a354-b023-44a4-b5b2-4d8dcefc129e', 'urgent', '["malignancy"]', 'A known lipoma, seen last week.', 'A. Therapist', '2026-11-25 09:00:27+00');
INSERT INTO public.visit VALUES ('5e8cd086-9e94-45f6-8864-fa5d8b1cdbf0', 'f17282c0-3c6a-4f10-aef0-1885caeab6e3', '2026-11-25 09:00:01+00', 'sitting');
INSERT INTO public.visit VALUES ('2337a354-b023-44a4-b5b2-4d8dcefc129e', 'abf9513c-f0ad-4eeb-bc40-7cd07fedfbfd', '2026-11-25 09:00:06+00', 'sitting');
SELECT pg_catalog.setval('public.audit_number_seq', 22, true);
SELECT pg_catalog.setval('public.screen_answer_number_seq', 10, true);
SELECT pg_catalog.setval('public.turn_number_seq', 1, true);
SELECT pg_catalog.setval('public.verdict_override_number_seq', 1, true);
ALTER TABLE ONLY public.alembic_version
    ADD CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num);
ALTER TABLE ONLY public.addendum
    ADD CONSTRAINT pk_addendum PRIMARY KEY (id);
ALTER TABLE ONLY public.audit
    ADD CONSTRAINT pk_audit PRIMARY KEY (number);
ALTER TABLE ONLY public.entry
    ADD CONSTRAINT pk_entry PRIMARY KEY (id);
ALTER TABLE ONLY public.episode
    ADD CONSTRAINT pk_episode PRIMARY KEY (id);
ALTER TABLE ONLY public.person
    ADD CONSTRAINT pk_person PRIMARY KEY (id);
ALTER TABLE ONLY public.screen_answer
    ADD CONSTRAINT pk_screen_answer PRIMARY KEY (number);
ALTER TABLE ONLY public.signed_note
    ADD CONSTRAINT pk_signed_note PRIMARY KEY (id);
ALTER TABLE ONLY public.turn
    ADD CONSTRAINT pk_turn PRIMARY KEY (number);
ALTER TABLE ONLY public.verdict_override
    ADD CONSTRAINT pk_verdict_override PRIMARY KEY (number);
ALTER TABLE ONLY public.visit
    ADD CONSTRAINT pk_visit PRIMARY KEY (id);
ALTER TABLE ONLY public.entry
    ADD CONSTRAINT uq_entry_visit_id_sequence UNIQUE (visit_id, sequence);
ALTER TABLE ONLY public.signed_note
    ADD CONSTRAINT uq_signed_note_visit_id UNIQUE (visit_id);
CREATE INDEX ix_addendum_note_id ON public.addendum USING btree (note_id);
CREATE INDEX ix_audit_person_id ON public.audit USING btree (person_id);
CREATE INDEX ix_episode_person_id ON public.episode USING btree (person_id);
CREATE INDEX ix_screen_answer_visit_id ON public.screen_answer USING btree (visit_id);
CREATE INDEX ix_turn_visit_id ON public.turn USING btree (visit_id);
CREATE INDEX ix_verdict_override_visit_id ON public.verdict_override USING btree (visit_id);
CREATE INDEX ix_visit_episode_id ON public.visit USING btree (episode_id);
CREATE TRIGGER addendum_frozen BEFORE DELETE OR UPDATE ON public.addendum FOR EACH ROW EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER addendum_no_truncate BEFORE TRUNCATE ON public.addendum FOR EACH STATEMENT EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER audit_append_only BEFORE UPDATE ON public.audit FOR EACH ROW EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER audit_no_delete BEFORE DELETE ON public.audit FOR EACH ROW EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER audit_no_truncate BEFORE TRUNCATE ON public.audit FOR EACH STATEMENT EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER entry_append_only BEFORE UPDATE ON public.entry FOR EACH ROW EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER entry_closed BEFORE INSERT ON public.entry FOR EACH ROW EXECUTE FUNCTION public.refuse_insert_when_signed();
CREATE TRIGGER entry_kept BEFORE DELETE ON public.entry FOR EACH ROW EXECUTE FUNCTION public.refuse_delete_when_signed();
CREATE TRIGGER entry_no_truncate BEFORE TRUNCATE ON public.entry FOR EACH STATEMENT EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER screen_answer_append_only BEFORE UPDATE ON public.screen_answer FOR EACH ROW EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER screen_answer_closed BEFORE INSERT ON public.screen_answer FOR EACH ROW EXECUTE FUNCTION public.refuse_insert_when_signed();
CREATE TRIGGER screen_answer_kept BEFORE DELETE ON public.screen_answer FOR EACH ROW EXECUTE FUNCTION public.refuse_delete_when_signed();
CREATE TRIGGER screen_answer_no_truncate BEFORE TRUNCATE ON public.screen_answer FOR EACH STATEMENT EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER signed_note_frozen BEFORE DELETE OR UPDATE ON public.signed_note FOR EACH ROW EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER signed_note_no_truncate BEFORE TRUNCATE ON public.signed_note FOR EACH STATEMENT EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER turn_closed BEFORE INSERT ON public.turn FOR EACH ROW EXECUTE FUNCTION public.refuse_insert_when_signed();
CREATE TRIGGER turn_kept BEFORE DELETE ON public.turn FOR EACH ROW EXECUTE FUNCTION public.refuse_delete_when_signed();
CREATE TRIGGER turn_no_truncate BEFORE TRUNCATE ON public.turn FOR EACH STATEMENT EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER turn_no_update BEFORE UPDATE ON public.turn FOR EACH ROW EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER verdict_override_append_only BEFORE UPDATE ON public.verdict_override FOR EACH ROW EXECUTE FUNCTION public.refuse_change();
CREATE TRIGGER verdict_override_closed BEFORE INSERT ON public.verdict_override FOR EACH ROW EXECUTE FUNCTION public.refuse_insert_when_signed();
CREATE TRIGGER verdict_override_kept BEFORE DELETE ON public.verdict_override FOR EACH ROW EXECUTE FUNCTION public.refuse_delete_when_signed();
CREATE TRIGGER verdict_override_no_truncate BEFORE TRUNCATE ON public.verdict_override FOR EACH STATEMENT EXECUTE FUNCTION public.refuse_change();
ALTER TABLE ONLY public.addendum
    ADD CONSTRAINT fk_addendum_note_id_signed_note FOREIGN KEY (note_id) REFERENCES public.signed_note(id);
ALTER TABLE ONLY public.entry
    ADD CONSTRAINT fk_entry_retracts_entry FOREIGN KEY (retracts) REFERENCES public.entry(id);
ALTER TABLE ONLY public.entry
    ADD CONSTRAINT fk_entry_supersedes_entry FOREIGN KEY (supersedes) REFERENCES public.entry(id);
ALTER TABLE ONLY public.entry
    ADD CONSTRAINT fk_entry_visit_id_visit FOREIGN KEY (visit_id) REFERENCES public.visit(id) ON DELETE CASCADE;
ALTER TABLE ONLY public.episode
    ADD CONSTRAINT fk_episode_person_id_person FOREIGN KEY (person_id) REFERENCES public.person(id) ON DELETE CASCADE;
ALTER TABLE ONLY public.screen_answer
    ADD CONSTRAINT fk_screen_answer_visit_id_visit FOREIGN KEY (visit_id) REFERENCES public.visit(id) ON DELETE CASCADE;
ALTER TABLE ONLY public.signed_note
    ADD CONSTRAINT fk_signed_note_visit_id_visit FOREIGN KEY (visit_id) REFERENCES public.visit(id);
ALTER TABLE ONLY public.turn
    ADD CONSTRAINT fk_turn_visit_id_visit FOREIGN KEY (visit_id) REFERENCES public.visit(id) ON DELETE CASCADE;
ALTER TABLE ONLY public.verdict_override
    ADD CONSTRAINT fk_verdict_override_visit_id_visit FOREIGN KEY (visit_id) REFERENCES public.visit(id) ON DELETE CASCADE;
ALTER TABLE ONLY public.visit
    ADD CONSTRAINT fk_visit_episode_id_episode FOREIGN KEY (episode_id) REFERENCES public.episode(id) ON DELETE CASCADE;
