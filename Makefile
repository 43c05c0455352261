# Endfeel: `make demo` shows it at work, `make test` proves it, `make help` lists the rest.
SHELL := /bin/bash
.DEFAULT_GOAL := help
VENV := .venv
PY := $(VENV)/bin/python
RUN := $(VENV)/bin/endfeel

.PHONY: help demo serve voice test screens lint fix evidence links bench fuzz audit release verify sure lock clean

help: ## list the commands
	@grep -hE '^[a-z]+:.*##' $(MAKEFILE_LIST) | sed -E 's/^([a-z]+):.*## (.*)/  make \1\t\2/' | expand -t 22

$(VENV)/.ready: requirements.lock pyproject.toml scripts/environment.sh
	@scripts/environment.sh requirements.lock
	@touch $@

$(VENV)/.ready-dev: requirements-dev.lock pyproject.toml scripts/environment.sh
	@scripts/environment.sh requirements-dev.lock
	@touch $(VENV)/.ready $@

$(VENV)/.ready-tools: requirements-tools.lock pyproject.toml scripts/environment.sh
	@scripts/environment.sh requirements-tools.lock
	@touch $(VENV)/.ready $(VENV)/.ready-dev $@

demo: $(VENV)/.ready ## the example patient through the main job (ARGS=--serve opens the pages)
	@$(RUN) demo $(ARGS)

serve: $(VENV)/.ready ## the pages, on this machine only
	@$(RUN) serve $(ARGS)

voice: ## speech recognition on this machine (VOICE=voice-better for the better one, half a gigabyte)
	@scripts/environment.sh requirements-$(or $(VOICE),voice).lock

test: $(VENV)/.ready-dev ## every test, real browser and real PostgreSQL included
	@scripts/system-packages.sh
	@$(PY) -m pytest -n 2 --dist loadgroup $(ARGS)

screens: $(VENV)/.ready-dev ## pictures of every page at three sizes, into var/screens
	@ENDFEEL_SHOTS=var/screens $(PY) -m pytest -q tests/bedside/test_pages_for_everybody.py -k every_size
	@ls var/screens

lint: $(VENV)/.ready-dev ## style, types, arrows between rooms
	@$(VENV)/bin/ruff check src tests bench fuzz && $(VENV)/bin/ruff format --check src tests bench fuzz
	@$(VENV)/bin/mypy
	@$(VENV)/bin/lint-imports

fix: $(VENV)/.ready-dev ## repair what can be repaired
	@$(VENV)/bin/ruff check --fix src tests bench fuzz; $(VENV)/bin/ruff format src tests bench fuzz

evidence: $(VENV)/.ready ## check every data file; count figures by table and provenance
	@$(RUN) evidence --check

links: $(VENV)/.ready-dev ## rebuild the links the mechanical model computes (some minutes)
	@$(RUN) links $(ARGS)

bench: $(VENV)/.ready-dev ## peers and product on the same work in one run
	@$(PY) -m bench

fuzz: $(VENV)/.ready-tools ## hostile text against all that reads text (SECONDS_EACH=180), then the pages by their description
	@$(PY) -m fuzz --seconds $(or $(SECONDS_EACH),180) $(ARGS)
	@ENDFEEL_FUZZ=$(or $(EXAMPLES),300) $(PY) -m pytest -q --timeout 3600 tests/pages/test_fuzzed_interface.py

audit: $(VENV)/.ready-tools ## the pins against the public list of known holes (needs the network)
	@scripts/audit.sh

release: $(VENV)/.ready-tools ## wheel, parts, checksums, signed with KEY=file (docs/operations.md)
	@test -n "$(KEY)" || { echo "Name the key to sign with: make release KEY=~/.ssh/id_ed25519"; exit 2; }
	@$(PY) scripts/release.py make && $(PY) scripts/release.py sign --key "$(KEY)" && ls -l dist

verify: $(VENV)/.ready ## dist/ is what WHO signed, by the file SIGNERS
	@$(PY) scripts/release.py verify --signers "$(SIGNERS)" --who "$(WHO)"

sure: lint evidence test ## all of it, as the integration script runs it

lock: ## re-pin the dependencies (needs uv)
	uv pip compile -q --universal --python-version 3.11 --generate-hashes --no-header --no-annotate --no-emit-index-url --no-emit-find-links --no-config pyproject.toml --group build -o requirements.lock
	uv pip compile -q --universal --python-version 3.11 --generate-hashes --no-header --no-annotate --no-emit-index-url --no-emit-find-links --no-config pyproject.toml --group build --group dev -o requirements-dev.lock
	uv pip compile -q --universal --python-version 3.11 --generate-hashes --no-header --no-annotate --no-emit-index-url --no-emit-find-links --no-config -c requirements-dev.lock pyproject.toml --group build --group dev --group tools -o requirements-tools.lock
	uv pip compile -q --universal --python-version 3.11 --generate-hashes --no-header --no-annotate --no-emit-index-url --no-emit-find-links --no-config -c requirements.lock pyproject.toml --group build --extra voice -o requirements-voice.lock
	uv pip compile -q --universal --python-version 3.11 --generate-hashes --no-header --no-annotate --no-emit-index-url --no-emit-find-links --no-config -c requirements.lock pyproject.toml --group build --extra voice --extra voice-better -o requirements-voice-better.lock

clean: ## remove the environment and caches
	rm -rf $(VENV) .mypy_cache .ruff_cache .pytest_cache .hypothesis var
