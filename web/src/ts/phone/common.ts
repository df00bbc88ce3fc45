// What phone.js, the recorder and its faces all use. Each of them reaches this list, so the bundler puts everything on it
// into one file instead of one file for each combination.

import "../shared/id";
import "./answers";
import "./bar";
import "./brief";
import "./buzz";
import "./contract";
import "./cover";
import "./day";
import "./document";
import "./face/faces";
import "./fits";
import "./install";
import "./keep";
import "./lock";
import "./measured";
import "./open";
import "./outbox";
import "./phonedb";
import "./pictures";
import "./saychips";
import "./seal";
import "./send";
import "./sha256";
import "./stair";
import "./tablock";
import "./today";
import "./words";
