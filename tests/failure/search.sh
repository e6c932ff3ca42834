#!/bin/sh
# The long search for texts that break the readers: rounds of cases a property, each with a seed of its own that is told,
# so that what fails can be drawn again. A round that fails does not end the search.
#
#     tests/failure/search.sh ROUNDS CASES [the core test binary] [first seed]
set -u
rounds=$1 cases=$2
binary=${3:-} seed=${4:-1}
cd "$(dirname "$0")/../../crates/washline-core" || exit 2
if [ -z "$binary" ]; then
    binary=$(cargo test --release --test core --no-run 2>&1 | sed -n 's/.*core\/main.rs (\(.*\))/\1/p')
    binary=../../$binary
fi
bad=0
round=0
while [ "$round" -lt "$rounds" ]; do
    at=$((seed + round))
    said=$(PROPTEST_RNG_SEED=$at PROPTEST_CASES=$cases PROPTEST_DISABLE_FAILURE_PERSISTENCE=1 RUST_BACKTRACE=0 \
        "$binary" --test-threads=1 fuzz::every fuzz::bytes fuzz::changed fuzz::settings fuzz::stored 2>&1)
    if [ $? -eq 0 ]; then
        echo "seed $at: $cases cases a property hold"
    else
        bad=$((bad + 1))
        echo "seed $at: broken"
        printf "%s\n" "$said" | grep -E 'FAILED|Test failed|minimal failing|is written as|successes' | cut -c1-1000
    fi
    round=$((round + 1))
done
echo "$rounds rounds of $cases cases a property, $bad broken"
