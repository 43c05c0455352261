.DEFAULT_GOAL := help
lock: ## re-pin the dependencies (needs uv)
	uv pip compile -q --universal --python-version 3.11 --generate-hashes --no-header --no-annotate --no-emit-index-url --no-emit-find-links --no-config pyproject.toml --group build -o requirements.lock
	uv pip compile -q --universal --python-version 3.11 --generate-hashes --no-header --no-annotate --no-emit-index-url --no-emit-find-links --no-config pyproject.toml --group build --group dev -o requirements-dev.lock
