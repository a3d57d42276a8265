// SPDX-License-Identifier: Apache-2.0
//
// Secrets from the operating system's own source of randomness, and join codes.
//
// A key is 192 bits (OWASP ASVS 5.0, 7.2.3 asks for 128); a join code is 50 bits in ten letters of
// Crockford's base 32 (crockford.com/base32.html), which has no I, L, O or U, so that it survives
// being read aloud. A phone types it once; it lives minutes and is rate-limited (limits.h).
//
//   std::string code = new_join_code();   // "7KQ2M-0XWGT"
//   Digest stored = sync::sha256(*tidy_join_code(typed));
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace nthtree::hub {

void random_bytes(void* to, std::size_t bytes);
std::string random_text();   // 192 bits, 32 letters of the URL-safe base 64 alphabet (RFC 4648, 5)
std::string new_join_code();
// Ten letters in capitals without the dash, O and I and L read as 0 and 1; empty where it is none.
std::optional<std::string> tidy_join_code(std::string_view typed);

}  // namespace nthtree::hub
