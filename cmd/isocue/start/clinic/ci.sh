#!/bin/sh
# Judges the commit that is checked out, in a job that runs with every change: hooks/ci.sh, or hooks/ci.sh sarif for a service that reads that.
# LAST, if it is set, is the digest of the ledger's last line as it was kept elsewhere.
cd "$(dirname "$0")/.." || exit 1
isocue=${ISOCUE:-isocue}
if [ -n "$LAST" ] || [ -d ledger ] || [ -f ledger.jsonl ]; then
	"$isocue" ledger ${LAST:+--expect "$LAST"} > /dev/null || exit 1
fi
exec "$isocue" lint . --format "${1:-text}"
