// What phone.js, the recorder and its faces all use. Each of them reaches this list, so the bundler puts everything on it
// into one file instead of one file for each combination.

import "../shared/id";
import "./brief";
import "./buzz";
import "./contract";
import "./cover";
import "./document";
import "./face/faces";
import "./fits";
import "./keep";
import "./measured";
import "./open";
import "./outbox";
import "./phonedb";
import "./pictures";
import "./saychips";
import "./send";
import "./tablock";
import "./teach";
import "./words";
