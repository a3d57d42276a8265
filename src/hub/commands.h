// SPDX-License-Identifier: Apache-2.0
//
// What nthtree-hub does for each of its commands (main.cpp reads the command line).
#pragma once

#include <string>

#include "base/result.h"
#include "hub/options.h"

namespace nthtree::hub {

// serve, code, keys, withdraw, set-aside, verify, export, backup or restore. Error id "usage": a
// wrong command.
base::Status run_command(const std::string& command, const Options& options);

}  // namespace nthtree::hub
