// SPDX-License-Identifier: Apache-2.0
//
// Every limit of the hub, each with its reason. Tests stand at the limit and one above it.
#pragma once

#include <cstddef>
#include <cstdint>

namespace nthtree::hub {

// A browser sends about 1 KB of headers; Beast stops reading at this.
inline constexpr std::size_t header_bytes_max = 8 * 1024;
// A join request is a code and a name; nobody has a key yet, so nobody may make the hub hold more.
inline constexpr std::size_t join_bytes_max = 2 * 1024;
// A phone on a bad network needs seconds for a batch; a slow attacker gets no more than this.
inline constexpr int read_seconds_max = 10;
inline constexpr int write_seconds_max = 20;
// Longer than a phone's pause between pulls, so that its connection stays.
inline constexpr int idle_seconds_max = 30;
// 2,000 phones with two connections each and some room; each costs about 20 KB when idle. Where all
// are taken, the one that has been idle longest makes room: nobody is shut out by the silent.
inline constexpr int connections_max = 4200;
// A crew behind one router shares an address, so this cannot be small.
inline constexpr int connections_per_address_max = 4000;

// A phone catching up sends or fetches a batch at a time; idle it makes six requests a minute.
inline constexpr double requests_burst = 300;
inline constexpr double requests_per_second = 20;
// Wrong codes are counted, right ones never refused for them: whoever guesses learns only that a
// code was wrong. At 10,000 guesses a second, more than this hub answers, a code of 50 bits is
// found in its ten minutes with one chance in 10^8 (OWASP ASVS 5.0, 6.5.x and 6.6.3 ask for 20 bits
// and a rate limit).
inline constexpr double joins_burst = 10;
inline constexpr double joins_per_second = 0.5;
inline constexpr double joins_burst_per_address = 5;
inline constexpr double joins_per_second_per_address = 1.0 / 12;
inline constexpr std::size_t addresses_remembered_max = 10000;

// Secrets that hubs on one database remember not to know, or are looking for: 32 bytes each.
inline constexpr std::size_t strangers_max = 1000;

// What one key may send: a whole season at once, as a phone does that fills a restored hub again,
// and then more in a day than a crew counts; so that one phone cannot fill the disk in a night.
inline constexpr double records_burst = 300000;
inline constexpr double records_per_second = 100000.0 / 86400;
inline constexpr double record_bytes_burst = 128.0 * (1 << 20);
inline constexpr double record_bytes_per_second = 48.0 * (1 << 20) / 86400;
// How far back a hub that starts looks for what each key sent: by then an empty bucket is full.
inline constexpr std::int64_t quota_days = 3;
// Lines that are no record: a broken phone has some, and should be looked at.
inline constexpr double garbage_burst = 2000;
inline constexpr double garbage_per_second = 1000.0 / 86400;
// What a manager's phone asks about keys is short.
inline constexpr std::size_t office_bytes_max = 4 * 1024;

// Requests committed together: enough to make one fsync serve many, few enough that the first
// does not wait long for the last (200 records each, about 2 ms).
inline constexpr std::size_t group_requests_max = 64;
// Requests waiting for the store; above it the hub says 503 and phones come back later.
inline constexpr std::size_t queue_requests_max = 2048;

// A site of more than this is not the app's bundle.
inline constexpr std::size_t site_bytes_max = 64u << 20;
inline constexpr std::size_t site_files_max = 1000;

// How long what a health check found is told again.
inline constexpr double health_good_seconds = 5;

inline constexpr std::int64_t code_minutes_default = 10;

}  // namespace nthtree::hub
