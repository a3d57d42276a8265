// SPDX-License-Identifier: Apache-2.0
//
// The tables of the hub's SQLite file, and how an older file becomes a newer one.
//
// Each version of the file has been in use somewhere: its step stays for good. A step runs in one
// transaction, so a file is of one version or of the next.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

namespace nthtree::hub {

inline constexpr const char* schema_version = "2";

extern const char* const schema;  // of a new file
// Needs the SQL function record_sum(device, sequence, bytes).
extern const char* const from_version_1;

// Keeps outside the file, beside it, that a key is withdrawn: a backup of before does not know it.
// False where that could not be written.
bool note_withdrawn(const std::string& path, std::string_view hash, std::int64_t now_ms);

}  // namespace nthtree::hub
