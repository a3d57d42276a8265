// SPDX-License-Identifier: Apache-2.0
//
// SHA-256, because the phone's side has no OpenSSL and both sides must agree on it.
//
// Source: FIPS PUB 180-4 (NIST, August 2015), sections 4.1.2, 4.2.2, 5.3.3 and 6.2.
// Not for passwords, and not constant in time: what it is given here is no secret.
//
//   Digest digest = sha256(bytes);
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <string_view>

namespace nthtree::sync {

using Digest = std::array<std::uint8_t, 32>;

Digest sha256(std::string_view bytes);
std::string hexadecimal(const Digest& digest);  // 64 lower-case digits

}  // namespace nthtree::sync
