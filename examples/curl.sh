#!/usr/bin/env bash
# Every kind of question with curl: bash examples/curl.sh [SERVICE]; run from the top directory.
set -euo pipefail
service="${1:-http://127.0.0.1:8000}"
json='Content-Type: application/json'

# The first request: three cultivars at one place.
curl --silent --fail --header "$json" --data @examples/requests/hollin-lane-suitabilities.json "$service/v1/suitabilities"

# Planting lists for a number of trees.
curl --silent --fail --header "$json" --data '{
  "site": {"latitude": 53.75, "longitude": -2.05},
  "space": {"tree_count": 3},
  "wanted": {"uses": ["dessert"], "no_spray": true}
}' "$service/v1/planting-lists"

# The same list as a table, on a map and as a picture (a plot is needed for the map).
garden=@examples/requests/hollin-lane-garden-planting-lists.json
for form in text/csv application/geo+json image/svg+xml; do
  curl --silent --fail --header "$json" --header "Accept: $form" --data "$garden" "$service/v1/planting-lists"
done

# A thermometer's records beside the request.
curl --silent --fail --form 'request=@examples/requests/hollin-lane-site-climates.json;type=application/json' \
  --form 'records=@examples/records/hollin-lane-days.csv;type=text/csv' "$service/v1/site-climates"

# A look-up, and the same again only if it has changed: 304 and no body.
tag="$(curl --silent --fail --head "$service/v1/cultivars/discovery" | tr -d '\r' | sed -n 's/^etag: //Ip')"
curl --silent --fail --output /dev/null --write-out '%{http_code}\n' --header "If-None-Match: $tag" \
  "$service/v1/cultivars/discovery"

# A refusal tells every fault with its place: 422.
curl --silent --header "$json" --data '{"site": {"latitude": 95}, "cultivars": ["Discovery"], "colour": "red"}' \
  "$service/v1/suitabilities"
