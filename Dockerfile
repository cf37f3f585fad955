# One image for web, worker, beat and migrations; docker-compose.yml says which.
FROM python:3.13-slim-bookworm AS packages
WORKDIR /build
COPY requirements.lock .
# Everything above the mark is needed at run time, everything below only by tests.
RUN python -m venv /venv \
 && sed '/^# --- test ---$/,$d' requirements.lock > runtime.lock \
 && /venv/bin/pip install --no-cache-dir --require-hashes -r runtime.lock

FROM python:3.13-slim-bookworm
RUN apt-get update \
 && apt-get install -y --no-install-recommends libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0 \
 && rm -rf /var/lib/apt/lists/* \
 && useradd --system --uid 10001 --home-dir /app --shell /usr/sbin/nologin spanyard \
 && install -d -o spanyard -g spanyard /data
ENV PATH=/venv/bin:$PATH \
    PYTHONDONTWRITEBYTECODE=1 \
    PYTHONUNBUFFERED=1 \
    XDG_CACHE_HOME=/tmp \
    DJANGO_SETTINGS_MODULE=framing.config.settings.prod \
    SPANYARD_STORAGE=/data
COPY --from=packages /venv /venv
WORKDIR /app
COPY . .
# These values serve this one command; the running container gets its own.
RUN SECRET_KEY=build-only-build-only-build-only-build-only-build-only \
    LINK_KEY=unused-unused-unused-unused-unused-unused-unused-unused \
    SPANYARD_HOSTS=localhost DATABASE_URL=postgres://nowhere/none REDIS_URL=redis://nowhere \
    python manage.py collectstatic --noinput
USER 10001
VOLUME /data
EXPOSE 8000
HEALTHCHECK --interval=15s --timeout=5s --start-period=20s \
  CMD ["python", "-m", "framing.config.healthcheck"]
CMD ["gunicorn", "framing.config.wsgi", "--bind", "0.0.0.0:8000", "--workers", "2", "--threads", "4", \
     "--no-control-socket", "--graceful-timeout", "30", "--access-logfile", "-", \
     "--logger-class", "framing.config.weblog.MaskedLogger"]
