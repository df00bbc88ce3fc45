package verification

var samplingGroups = []group{
	{
		title:  `Time sampling`,
		about:  `Momentary sampling uses an interval’s last second.`,
		kind:   `sampling`,
		source: `exact computation, second by second`,
		mark:   computed,
		rows: []row{
			{what: `A, 300 s in 10 s, partial`, in: `{"bouts": [[3,18],[42,47],[95,131],[160,163],[205,240],[281,290]], "length_s": 300, "interval_s": 10, "method": "partial"}`, says: `scored=14 of=30 percent=1400/30 true_percent=34.3333`},
			{what: `A, 300 s in 10 s, whole`, in: `{"bouts": [[3,18],[42,47],[95,131],[160,163],[205,240],[281,290]], "length_s": 300, "interval_s": 10, "method": "whole"}`, says: `scored=6 of=30 percent=600/30 true_percent=34.3333`},
			{what: `A, 300 s in 10 s, momentary`, in: `{"bouts": [[3,18],[42,47],[95,131],[160,163],[205,240],[281,290]], "length_s": 300, "interval_s": 10, "method": "momentary"}`, says: `scored=10 of=30 percent=1000/30 true_percent=34.3333`},
			{what: `A, 300 s in 30 s, partial`, in: `{"bouts": [[3,18],[42,47],[95,131],[160,163],[205,240],[281,290]], "length_s": 300, "interval_s": 30, "method": "partial"}`, says: `scored=8 of=10 percent=800/10 true_percent=34.3333`},
			{what: `A, 300 s in 30 s, whole`, in: `{"bouts": [[3,18],[42,47],[95,131],[160,163],[205,240],[281,290]], "length_s": 300, "interval_s": 30, "method": "whole"}`, says: `scored=1 of=10 percent=100/10 true_percent=34.3333`},
			{what: `A, 300 s in 30 s, momentary`, in: `{"bouts": [[3,18],[42,47],[95,131],[160,163],[205,240],[281,290]], "length_s": 300, "interval_s": 30, "method": "momentary"}`, says: `scored=3 of=10 percent=300/10 true_percent=34.3333`},
			{what: `B: thirty single seconds, 300 s in 10 s, partial`, in: `{"bouts": [[4,5],[14,15],[24,25],[34,35],[44,45],[54,55],[64,65],[74,75],[84,85],[94,95],[104,105],[114,115],[124,125],[134,135],[144,145],[154,155],[164,165],[174,175],[184,185],[194,195],[204,205],[214,215],[224,225],[234,235],[244,245],[254,255],[264,265],[274,275],[284,285],[294,295]], "length_s": 300, "interval_s": 10, "method": "partial"}`, says: `scored=30 of=30 percent=3000/30 true_percent=10.0000`},
			{what: `B: thirty single seconds, 300 s in 10 s, whole`, in: `{"bouts": [[4,5],[14,15],[24,25],[34,35],[44,45],[54,55],[64,65],[74,75],[84,85],[94,95],[104,105],[114,115],[124,125],[134,135],[144,145],[154,155],[164,165],[174,175],[184,185],[194,195],[204,205],[214,215],[224,225],[234,235],[244,245],[254,255],[264,265],[274,275],[284,285],[294,295]], "length_s": 300, "interval_s": 10, "method": "whole"}`, says: `scored=0 of=30 percent=0/30 true_percent=10.0000`},
			{what: `B: thirty single seconds, 300 s in 10 s, momentary`, in: `{"bouts": [[4,5],[14,15],[24,25],[34,35],[44,45],[54,55],[64,65],[74,75],[84,85],[94,95],[104,105],[114,115],[124,125],[134,135],[144,145],[154,155],[164,165],[174,175],[184,185],[194,195],[204,205],[214,215],[224,225],[234,235],[244,245],[254,255],[264,265],[274,275],[284,285],[294,295]], "length_s": 300, "interval_s": 10, "method": "momentary"}`, says: `scored=0 of=30 percent=0/30 true_percent=10.0000`},
			{what: `D: one bout 100–200, 300 s in 10 s, partial`, in: `{"bouts": [[100,200]], "length_s": 300, "interval_s": 10, "method": "partial"}`, says: `scored=10 of=30 percent=1000/30 true_percent=33.3333`},
			{what: `D: one bout 100–200, 300 s in 10 s, whole`, in: `{"bouts": [[100,200]], "length_s": 300, "interval_s": 10, "method": "whole"}`, says: `scored=10 of=30 percent=1000/30 true_percent=33.3333`},
			{what: `D: one bout 100–200, 300 s in 10 s, momentary`, in: `{"bouts": [[100,200]], "length_s": 300, "interval_s": 10, "method": "momentary"}`, says: `scored=10 of=30 percent=1000/30 true_percent=33.3333`},
			{what: `E: none, 60 s in 10 s, partial`, in: `{"bouts": [], "length_s": 60, "interval_s": 10, "method": "partial"}`, says: `scored=0 of=6 percent=0/6 true_percent=0`},
			{what: `E: none, 60 s in 10 s, whole`, in: `{"bouts": [], "length_s": 60, "interval_s": 10, "method": "whole"}`, says: `scored=0 of=6 percent=0/6 true_percent=0`},
			{what: `E: none, 60 s in 10 s, momentary`, in: `{"bouts": [], "length_s": 60, "interval_s": 10, "method": "momentary"}`, says: `scored=0 of=6 percent=0/6 true_percent=0`},
			{what: `F: all the time, 60 s in 10 s, partial`, in: `{"bouts": [[0,60]], "length_s": 60, "interval_s": 10, "method": "partial"}`, says: `scored=6 of=6 percent=600/6 true_percent=100`},
			{what: `F: all the time, 60 s in 10 s, whole`, in: `{"bouts": [[0,60]], "length_s": 60, "interval_s": 10, "method": "whole"}`, says: `scored=6 of=6 percent=600/6 true_percent=100`},
			{what: `F: all the time, 60 s in 10 s, momentary`, in: `{"bouts": [[0,60]], "length_s": 60, "interval_s": 10, "method": "momentary"}`, says: `scored=6 of=6 percent=600/6 true_percent=100`},
		},
	},
}
