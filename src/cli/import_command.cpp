// SPDX-License-Identifier: Apache-2.0
#include "cli/command.h"
namespace nthtree::cli {
const char* const import_help = "";
Outcome import_command(const Words&) { return refused("not yet"); }
}
