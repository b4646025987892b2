Console.WriteLine("nothing here yet");
